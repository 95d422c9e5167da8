/* Strings: bounded copies, and the one cleaner that text from files and the network goes through
 * before it reaches a terminal. */
#ifndef LIPWALK_BASE_TEXT_H
#define LIPWALK_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>

/* Copies `from` into `to[size]`, cut at a UTF-8 boundary, always terminated. Returns true when it
 * all fitted. `from` NULL counts as "". */
bool lw_text_copy(char *to, size_t size, const char *from);

/* As lw_text_copy, but replaces control characters (C0, DEL, C1), bidirectional overrides and
 * invalid UTF-8 by '?', so that no byte of it can steer a terminal. */
bool lw_text_clean(char *to, size_t size, const char *from);

/* Adds the printf-style text to the end of `to[size]`; what does not fit is cut. */
void lw_text_add(char *to, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Trims white space at both ends, in place; returns the first character kept. */
char *lw_text_trim(char *text);

/* The last part of a path: the file's own name without its folder. Points into `path`. */
const char *lw_text_file_name(const char *path);

/* Prints a double with printf's "%.*g", with '.' whatever the locale; "null" for NaN and infinity
 * (a JSON number). digits: 1 to 17. */
void lw_text_number(char *to, size_t size, double value, int digits);

/* Reads a whole number-text with '.' whatever the locale. Returns false unless all of `text` (white
 * space at the ends aside) is one finite number. */
bool lw_text_to_number(const char *text, double *out);

#endif
