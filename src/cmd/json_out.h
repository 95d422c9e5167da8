/* JSON on stdout, for all commands. */
#ifndef LIPWALK_SRC_CMD_JSON_OUT_H
#define LIPWALK_SRC_CMD_JSON_OUT_H

#include <jansson.h>

/* null where the value is not known. */
json_t *json_out_number(double value);
/* Prints `all` (NULL: memory ran out) by jansson's flags and ends the line; lets go of it. 0 or -1.
 */
int json_out_print(json_t *all, size_t flags);

#endif
