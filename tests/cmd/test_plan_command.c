/* `lipwalk plan` as a script calls it: exit status, what is printed where, files. */
#include <criterion/criterion.h> /* before redirect.h, whose own asserts are only words */
#include <criterion/redirect.h>
#include <jansson.h>
#include <math.h>

#include "lipwalk/cmd/commands.h"
#include "lipwalk/plan/file.h"
#include "lw_test.h"

#define MOST_WORDS 40

static char folder[200], map[300];

/* Calls the command with the words of `line`; %s in it is the map. */
static int call(const char *format)
{
    static char line[1000];
    char *words[MOST_WORDS], *save = NULL;
    int n = 0;

    snprintf(line, sizeof line, format, map);
    for (char *word = strtok_r(line, " ", &save); word && n + 1 < MOST_WORDS;
         word = strtok_r(NULL, " ", &save))
        words[n++] = word;
    words[n] = NULL;
    return lw_cmd_plan(n, words);
}

static char *all_of(FILE *from)
{
    char *text = calloc(1, 100000);

    fflush(stdout);
    cr_assert_not_null(text);
    cr_assert_gt(fread(text, 1, 99999, from), 0);
    return text;
}

static void set_up(void)
{
    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CACHE_HOME", folder, 1);
    setenv("XDG_CONFIG_HOME", folder, 1);
    cr_redirect_stdout();
    cr_redirect_stderr();
}

TestSuite(plan_command, .init = set_up, .timeout = 120);

Test(plan_command, refuses_a_wrong_call)
{
    cr_assert_eq(call("plan --lip"), 2);
    cr_assert_eq(call("plan --depth 9ft"), 2);
    cr_assert_eq(call("plan --map x"), 2);
    cr_assert_eq(call("plan --map x --depth 9ft --side up"), 2);
    cr_assert_eq(call("plan --map x --depth 9ft --out plan.txt"), 2);
    cr_assert_eq(call("plan --map x --depth nine"), 2);
    cr_assert_eq(call("plan --map x --depth 9ft --near 91,0"), 2);
    cr_assert_eq(call("plan --map x --depth 9ft extra"), 2);
    cr_assert_eq(call("plan --map x --depth=-9ft"), 2);
    cr_assert_eq(call("plan --map x --depth 9ft --length 0"), 2);
    cr_assert_eq(call("plan --map /nonexistent/map --depth 9ft"), 1);
}

Test(plan_command, answers_in_si_units)
{
    json_t *answer;
    char *text;

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    cr_assert_eq(call("plan --map %s --at 46.0088,-89.6997 --depth 10ft --near 46.0145,-89.6997 "
                      "--length 400m --standoff 35ft --side deep --json"),
                 0);
    text = all_of(cr_get_redirected_stdout());
    answer = json_loads(text, 0, NULL);
    cr_assert_not_null(answer, "%s", text);
    cr_assert_float_eq(json_real_value(json_object_get(answer, "depth_m")), 3.048, 1e-9);
    cr_assert_float_eq(json_real_value(json_object_get(answer, "length_m")), 400, 1e-6);
    cr_assert_float_eq(json_real_value(json_object_get(answer, "standoff_m")), 10.668, 1e-9);
    cr_assert_float_eq(json_real_value(json_object_get(answer, "coverage")), 0.95, 0.01);
    cr_assert_float_eq(json_real_value(json_object_get(answer, "reachable")), 1, 0.01);
    cr_assert(json_is_null(json_object_get(answer, "worth")));
    cr_assert_eq(json_integer_value(json_object_get(answer, "hold_parts")), 1);
    cr_assert(json_is_array(json_object_get(answer, "warnings")));
    json_decref(answer);
    free(text);
}

Test(plan_command, writes_files_and_says_so_in_feet)
{
    char line[900], path[300], *text;
    double rest_s;
    struct lw_plan *plan = NULL;
    struct lw_error err = {""};

    lw_test_data(map, sizeof map, "lakes/small-lakes-metres.geojson");
    snprintf(path, sizeof path, "%s/plan.geojson", folder);
    snprintf(
        line, sizeof line,
        "plan --map %%s --at 46.0088,-89.6997 --depth 30ft --near 46.0145,-89.6997 "
        "--length 300m --side shallow --coverage 0.6 --retrieve 2ft/s --out %s --out %s/plan.gpx",
        path, folder);
    cr_assert_eq(call(line), 0);
    text = all_of(cr_get_redirected_stdout());
    cr_assert(strstr(text, "30 ft deep") && strstr(text, "casts of up to 80 ft") &&
                  strstr(text, "shallow side") && strstr(text, "Not for navigation"),
              "%s", text);
    cr_assert_eq(lw_plan_read(path, &plan, &err), 0, "%s", err.text);
    cr_assert_float_eq(plan->params.retrieve_mps, 2 * 0.3048, 1e-9);
    cr_assert_float_eq(plan->coverage, 0.6 * plan->reachable, 0.02);
    cr_assert_not(plan->params.hold_deep);
    rest_s = 60 * plan->minutes - 20 * (double)plan->stations; /* stops of 20 s, ... */
    for (size_t i = 0; i < plan->casts; i++) /* ... casts of 10 s and the retrieve, and the way */
        rest_s -= 10 + plan->cast[i].length_m / (2 * 0.3048);
    cr_assert(rest_s > 0 && rest_s < 1.05 * 300 / 0.357632, "%g s of way", rest_s);
    cr_assert_lt(lw_plan_offset(plan, plan->station[0].at).off_m, -10);
    snprintf(path, sizeof path, "%s/plan.gpx", folder);
    cr_assert_eq(access(path, R_OK), 0);
    lw_plan_free(plan);
    free(text);
}
