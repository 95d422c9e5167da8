/* How near the lips found lie to the true ones, on lakes in closed form: `lips [seed...]` adds
 * random lakes to those judged always. */
#include "chart/lip_score.h"

static int judge(const char *name, const struct analytic *a)
{
    static const char *const from[] = {"1-ft", "5-ft", "soundings"};
    static const double step_m[] = {ANALYTIC_FT, 5 * ANALYTIC_FT, 0};

    for (int input = LIP_FROM_1_FT; input <= LIP_FROM_SOUNDINGS; input++) {
        struct lw_error err = {""};
        struct lw_chart *chart = lip_chart(a, (enum lip_input)input, 2, &err);
        struct lw_lips lips;
        struct lip_score score;
        char title[64];

        if (!chart || lw_lips_find(chart, &lips, &err)) {
            fprintf(stderr, "lips: %s\n", err.text);
            lw_chart_free(chart);
            return -1;
        }
        score = lip_judge(a, &lips, step_m[input]);
        snprintf(title, sizeof title, "lips %s %s", name, from[input]);
        lip_print(title, &score);
        lw_lips_free(&lips);
        lw_chart_free(chart);
    }
    return 0;
}

int main(int argc, char **argv)
{
    struct analytic easy = analytic_easy(), hard = analytic_hard(), null = analytic_null();

    if (judge("easy", &easy) || judge("hard", &hard) || judge("null", &null))
        return 1;
    for (int k = 1; k < (argc > 1 ? argc : 4); k++) {
        unsigned long seed = argc > 1 ? strtoul(argv[k], NULL, 10) : (unsigned long)k;
        struct analytic a = analytic_random(seed);
        char name[32];

        snprintf(name, sizeof name, "random %lu", seed);
        if (judge(name, &a))
            return 1;
    }
    return 0;
}
