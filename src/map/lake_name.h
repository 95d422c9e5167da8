/* Which attributes name the lake, and what they say. */
#ifndef LIPWALK_SRC_MAP_LAKE_NAME_H
#define LIPWALK_SRC_MAP_LAKE_NAME_H

#include <stdbool.h>

#include "raw.h"

struct lw_lake_name {
    int key;   /* the field that tells lakes apart, or -1 */
    int extra; /* a second one for people ("Sparkling" beside "SP"), or -1 */
};
bool lw_lake_name_may(const char *field); /* whether its values are worth a look */
/* Looks at names and values. */
struct lw_lake_name lw_lake_name_find(const struct lw_raw *raw);
/* The key's text of a feature, or NULL. */
const char *lw_lake_name_of(const struct lw_lake_name *how, const struct lw_raw *raw, size_t i);
/* "Sparkling (SP)" */
void lw_lake_name_print(const struct lw_lake_name *how, const struct lw_raw *raw, size_t i,
                        char to[64]);
bool lw_lake_name_matches(const struct lw_lake_name *how, const struct lw_raw *raw, size_t i,
                          const char *wanted, bool whole);
/* The distinct keys, up to a few, "CR, SP, TB and 3 more"; returns how many there are. */
size_t lw_lake_name_list(const struct lw_lake_name *how, const struct lw_raw *raw, const bool *only,
                         char *to, size_t size);

#endif
