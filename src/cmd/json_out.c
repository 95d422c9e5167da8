#include "json_out.h"

#include <math.h>
#include <stdio.h>

json_t *json_out_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

int json_out_print(json_t *all, size_t flags)
{
    int failed = !all || json_dumpf(all, stdout, flags);

    json_decref(all);
    putchar('\n');
    return failed ? -1 : 0;
}
