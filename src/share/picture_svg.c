#include "picture_svg.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"

#define TEXT_MAX 1024

static void put(struct svg *svg, const char *bytes, size_t n)
{
    if (svg->failed)
        return;
    if (n >= svg->cap - svg->n) {
        size_t cap = 2 * svg->cap + n + 1024;
        char *text = realloc(svg->text, cap);

        if (!text) {
            svg->failed = true;
            return;
        }
        svg->text = text;
        svg->cap = cap;
    }
    memcpy(svg->text + svg->n, bytes, n);
    svg->n += n;
    svg->text[svg->n] = '\0';
}

static void put_number(struct svg *svg, double value)
{
    char buf[48];
    long long hundredths = isfinite(value) && fabs(value) < 1e12 ? llround(value * 100) : 0;
    unsigned long long size = (unsigned long long)llabs(hundredths);
    int n = snprintf(buf, sizeof buf, "%s%llu.%02llu", hundredths < 0 ? "-" : "", size / 100,
                     size % 100);

    while (n > 0 && buf[n - 1] == '0')
        n--;
    if (n > 0 && buf[n - 1] == '.')
        n--;
    put(svg, buf, (size_t)n);
}

/* XML 1.0 forbids U+FFFE and U+FFFF too, which are valid UTF-8. */
static void put_text(struct svg *svg, const char *from)
{
    char clean[TEXT_MAX];

    lw_text_clean(clean, sizeof clean, from);
    for (char *s = clean; (s = strstr(s, "\xEF\xBF")) != NULL; s += 2)
        if (s[2] == '\xBE' || s[2] == '\xBF')
            memcpy(s, "???", 3);
    for (const char *s = clean; *s; s++) {
        const char *as = *s == '&'    ? "&amp;"
                         : *s == '<'  ? "&lt;"
                         : *s == '>'  ? "&gt;"
                         : *s == '"'  ? "&quot;"
                         : *s == '\'' ? "&#39;"
                                      : NULL;

        put(svg, as ? as : s, as ? strlen(as) : 1);
    }
}

void svg_add(struct svg *svg, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    for (const char *s = format; *s; s++) {
        size_t plain = strcspn(s, "%");
        char digits[24];

        put(svg, s, plain);
        s += plain;
        if (!*s || !*++s)
            break;
        if (*s == 'f') {
            put_number(svg, va_arg(args, double));
        } else if (*s == 's') {
            put_text(svg, va_arg(args, const char *));
        } else if (*s == 'd') {
            put(svg, digits, (size_t)snprintf(digits, sizeof digits, "%d", va_arg(args, int)));
        } else {
            put(svg, s, 1); /* "%%" */
        }
    }
    va_end(args);
}

void svg_path(struct svg *svg, const struct mm *p, size_t n, bool closed)
{
    if (closed && n > 1)
        n--;
    for (size_t i = 0; i < n; i++)
        svg_add(svg, "%s%f %f", i ? "L" : "M", p[i].x, p[i].y);
    if (closed && n)
        svg_add(svg, "Z");
}

void svg_copy(struct svg *to, const struct svg *from)
{
    if (from->failed)
        to->failed = true;
    if (from->n)
        put(to, from->text, from->n);
}

void svg_free(struct svg *svg)
{
    free(svg->text);
    *svg = (struct svg){0};
}
