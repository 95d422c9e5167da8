/* How long a plan takes, from 250 m to 8 km of a wavy edge: until it can be used, and improved to
 * the end; the time of the longest against the shortest beside the ratio of their lengths. */
#include <math.h>
#include <stdio.h>
#include <time.h>

#include "lipwalk/cmd/plan_params.h"
#include "lipwalk/plan/plan.h"

static double now_ms(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

/* Bends of 20 to 80 m radius, as a contour has. */
static int wavy(double length_m, struct lw_line *line)
{
    for (double e = 0; e <= length_m; e += 2)
        if (lw_line_add(line, (struct lw_en){e, 6 * sin(e / 23) + 4 * sin(e / 11 + 1)}))
            return -1;
    return 0;
}

static int one(double length_m, double *usable_ms)
{
    struct lw_frame frame = {{46.2, -89.7}};
    struct lw_plan_params params;
    struct lw_line edge = {0};
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};
    struct lw_conf conf;
    double start, best = INFINITY, minutes;

    lw_conf_defaults(&conf);
    lw_plan_params_from_conf(&conf, &params);
    if (wavy(length_m, &edge))
        return -1;
    for (int i = 0; i < 5; i++) {
        lw_plan_free(plan);
        start = now_ms();
        if (lw_plan_from_line(NULL, &frame, &edge, true, &params, &plan, &err)) {
            fprintf(stderr, "%s\n", err.text);
            return -1;
        }
        best = fmin(best, now_ms() - start);
    }
    minutes = plan->minutes;
    start = now_ms();
    if (lw_plan_improve(plan, lw_plan_rounds(plan), &err))
        return -1;
    printf("plan %5.0f m: usable in %6.1f ms, %6zu rounds in %7.1f ms; %6.1f min, then %6.1f; %4zu "
           "casts, %3zu stations, coverage %.3f of %.3f\n",
           length_m, best, lw_plan_rounds(plan), now_ms() - start, minutes, plan->minutes,
           plan->casts, plan->stations, plan->coverage, plan->reachable);
    *usable_ms = best;
    lw_plan_free(plan);
    lw_line_free(&edge);
    return 0;
}

int main(void)
{
    double first = 0, last = 0;

    for (double length_m = 250; length_m <= 8000; length_m *= 2)
        if (one(length_m, length_m < 300 ? &first : &last))
            return 1;
    printf("plan: 32 times the length takes %.1f times as long\n", last / first);
    return 0;
}
