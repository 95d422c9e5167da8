/* SVG text as it grows. Numbers are written with '.' whatever the locale, text is cleaned and
 * escaped on its way in, so that nothing from a map can become markup. */
#ifndef LIPWALK_SRC_SHARE_PICTURE_SVG_H
#define LIPWALK_SRC_SHARE_PICTURE_SVG_H

#include <stdbool.h>
#include <stddef.h>

struct svg {
    char *text; /* text[n], owned */
    size_t n, cap;
    bool failed; /* memory ran out: what is there is cut short */
};
struct mm { /* a place on the page, from its top left corner */
    double x, y;
};

/* Adds `format`, which knows %d, %s (cleaned and escaped) and %f (at most two decimals, "0" when
 * not finite); everything else in it is markup. */
void svg_add(struct svg *svg, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Path commands through p[n]: "M...L..." and, where closed, "Z" in place of the last point. */
void svg_path(struct svg *svg, const struct mm *p, size_t n, bool closed);
void svg_copy(struct svg *to, const struct svg *from); /* adds all of it, as it is */
void svg_free(struct svg *svg);                        /* frees and zeroes */

#endif
