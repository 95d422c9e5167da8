/* The exact optimum of a small case, from Debian's coinor-cbc: the case as a mixed integer program
 * in the LP format, `cbc` run on it, its answer read. */
#ifndef LIPWALK_TEST_EXACT_H
#define LIPWALK_TEST_EXACT_H

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lw_test.h"
#include "plan/weave.h"

static inline void exact_terms(FILE *f, const struct weave_case *c)
{
    for (size_t s = 0; s < c->stations; s++) {
        fprintf(f, " + %.9g s%zu\n", c->stop_s, s);
        for (uint32_t i = c->cast0[s]; i < c->cast0[s + 1]; i++)
            fprintf(f, " + %.9g x%u\n", (double)c->cast_s[i], i);
    }
}

static inline void exact_worth(FILE *f, const struct weave_case *c)
{
    for (size_t j = 0; j < c->cells; j++)
        fprintf(f, " + %.9g z%zu\n", (double)c->worth[j], j);
}

/* z_j <= the casts over j, or 1 where it is worked; x_i <= its station. */
static inline void exact_links(FILE *f, const struct weave_case *c)
{
    for (size_t j = 0; j < c->cells; j++) {
        if (c->worked && c->worked[j])
            continue;
        fprintf(f, "c%zu: z%zu", j, j);
        for (uint32_t i = 0; i < c->casts; i++)
            for (uint32_t k = c->cell0[i]; k < c->cell0[i + 1]; k++)
                if (c->cell[k] == j)
                    fprintf(f, " - x%u\n", i);
        fprintf(f, " <= 0\n");
    }
    for (size_t s = 0; s < c->stations; s++)
        for (uint32_t i = c->cast0[s]; i < c->cast0[s + 1]; i++)
            fprintf(f, "u%u: x%u - s%zu <= 0\n", i, i, s);
}

static inline void exact_write(FILE *f, const struct weave_case *c, const struct weave_want *want)
{
    fprintf(f, isnan(want->worth) ? "Maximize\n w:\n" : "Minimize\n t:\n");
    if (isnan(want->worth))
        exact_worth(f, c);
    else
        exact_terms(f, c);
    fprintf(f, "Subject To\n");
    if (isnan(want->worth)) {
        fprintf(f, "b:\n");
        exact_terms(f, c);
        fprintf(f, " <= %.12g\n", want->seconds);
    } else {
        fprintf(f, "b:\n");
        exact_worth(f, c);
        fprintf(f, " >= %.12g\n", want->worth);
    }
    exact_links(f, c);
    fprintf(f, "Bounds\n");
    for (size_t j = 0; j < c->cells; j++)
        fprintf(f, "0 <= z%zu <= 1\n", j);
    fprintf(f, "Binaries\n");
    for (size_t s = 0; s < c->stations; s++)
        fprintf(f, "s%zu\n", s);
    for (uint32_t i = 0; i < c->casts; i++)
        fprintf(f, "x%u\n", i);
    fprintf(f, "End\n");
}

/* Skips where cbc is not installed; with CI=true that fails. */
static inline void exact_needed(void)
{
    const char *ci = getenv("CI");

    if (system("command -v cbc >/dev/null 2>&1") == 0)
        return;
    if (ci && strcmp(ci, "true") == 0)
        cr_assert_fail("cbc is missing and CI=true: install coinor-cbc");
    cr_skip_test("cbc (coinor-cbc) is not installed");
}

/* Seconds (worth wanted) or worth (seconds wanted) of the optimum; NaN when cbc did not prove one
 * within 20 s. */
static inline double exact_solve(const struct weave_case *c, const struct weave_want *want)
{
    char dir[256], lp[300], out[300], command[800], line[256] = "";
    double value = NAN;
    FILE *f;

    lw_test_scratch(dir, sizeof dir);
    snprintf(lp, sizeof lp, "%s/case.lp", dir);
    snprintf(out, sizeof out, "%s/out", dir);
    f = fopen(lp, "w");
    cr_assert_not_null(f);
    exact_write(f, c, want);
    fclose(f);
    snprintf(command, sizeof command, "cbc %s -sec 20 solve solu %s >/dev/null 2>&1", lp, out);
    cr_assert_eq(system(command), 0);
    f = fopen(out, "r");
    cr_assert_not_null(f);
    if (!fgets(line, sizeof line, f) || sscanf(line, "Optimal - objective value %lf", &value) != 1)
        value = NAN;
    fclose(f);
    remove(lp);
    remove(out);
    rmdir(dir);
    return fabs(value); /* cbc turns the sign of what is maximised */
}

#endif
