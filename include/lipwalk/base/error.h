/* The one way a function says why it could not do its work.
 *
 * Every function that can fail returns 0, or -1 after filling a struct lw_error with one sentence
 * that names the file, the line or feature, what was expected, and what to do. Only `cmd` prints.
 */
#ifndef LIPWALK_BASE_ERROR_H
#define LIPWALK_BASE_ERROR_H

struct lw_error {
    char text[1024]; /* one sentence, UTF-8, no newline; "" when nothing went wrong */
};

/* Fills `err` (may be NULL) with the printf-style sentence and returns -1, so that a caller can
 * write `return lw_fail(err, ...)`. Control characters in the result are replaced. */
int lw_fail(struct lw_error *err, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
