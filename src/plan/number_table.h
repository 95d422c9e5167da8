/* The numbers of a plan that stand by name in a plan file's `lipwalk` member: one table feeds the
 * writer and the reader. */
#ifndef LIPWALK_PLAN_NUMBER_TABLE_H
#define LIPWALK_PLAN_NUMBER_TABLE_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/plan/plan.h"

struct lw_plan_number {
    const char *name;
    size_t offset; /* of a double in struct lw_plan */
    bool nullable; /* NaN is written as null */
    double min, max;
};

#define LW_PLAN_NUMBERS 37
extern const struct lw_plan_number lw_plan_number[LW_PLAN_NUMBERS];

#endif
