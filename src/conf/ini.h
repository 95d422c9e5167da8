/* INI files of `name = value` lines; sections are allowed and mean nothing. */
#ifndef LIPWALK_SRC_CONF_INI_H
#define LIPWALK_SRC_CONF_INI_H

#include "lipwalk/base/error.h"

/* Takes one line; -1 and a sentence in `why` when it is bad. */
typedef int conf_line_fn(void *user, const char *name, const char *value, struct lw_error *why);

/* Gives each good line of the file to `fn`. Returns 0; 1 when there is no such file (`err` is left
 * alone); -1 when a line was bad or the file could not be read. Reading goes on after a bad line;
 * `err` is "FILE:LINE: why" of the first. */
int conf_ini_read(const char *path, conf_line_fn *fn, void *user, struct lw_error *err);

#endif
