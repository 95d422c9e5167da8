/* GPX out: valid by the schema (xmllint), and counted by an outside reader (gpsbabel). */
#include "lipwalk/share/gpx.h"

#include "../plan/lake.h"

static struct lw_plan *two_parts(struct lw_chart **chart)
{
    struct lake_hump hump = {300, 0}; /* cuts the hold line in two */
    struct lw_plan_params params = lake_params();

    hump.n_m = lake_shore(300) + 62;
    *chart = lake_new(&hump, 1);
    params.near = lw_frame_to_ll(&(*chart)->frame, (struct lw_en){300, 0});
    params.min_depth_m = 4;
    return lake_plan(*chart, &params);
}

static void write_gpx(const struct lw_plan *plan, char path[static 300])
{
    struct lw_error err = {""};
    char folder[200];

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, 300, "%s/plan.gpx", folder);
    cr_assert_eq(lw_gpx_write_plan(plan, 1778521530250, path, &err), 0, "%s", err.text);
}

static size_t count(const char *command, const char *word)
{
    char line[4000];
    size_t n = 0;
    FILE *f = popen(command, "r");

    cr_assert_not_null(f);
    while (fgets(line, sizeof line, f))
        for (const char *s = line; (s = strstr(s, word)) != NULL; s++)
            n++;
    cr_assert_eq(pclose(f), 0, "%s", command);
    return n;
}

static void check_schema(const char *path)
{
    char schema[300], command[900];

    lw_test_data(schema, sizeof schema, "schemas/gpx-1.1.xsd");
    snprintf(command, sizeof command, "xmllint --noout --schema %s %s 2>/dev/null", schema, path);
    cr_assert_eq(system(command), 0, "%s", command);
}

Test(gpx, is_valid)
{
    struct lw_chart *chart;
    struct lw_plan *plan = two_parts(&chart);
    char path[300];

    cr_assert_eq(plan->hold.n, 2);
    write_gpx(plan, path);
    check_schema(path);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(gpx, is_read_by_another_program)
{
    struct lw_chart *chart;
    struct lw_plan *plan = two_parts(&chart);
    char path[300], command[700];

    write_gpx(plan, path);
    snprintf(command, sizeof command, "gpsbabel -i gpx -f %s -o gpx -F -", path);
    cr_assert_eq(count(command, "<wpt "), plan->stations);
    cr_assert_eq(count(command, "<trkpt "), plan->hold.line[0].n + plan->hold.line[1].n);
    cr_assert_eq(count(command, "<trkseg>"), 2);
    cr_assert_eq(count(command, "<rte>"), 2);
    cr_assert_gt(count(command, "<rtept "), 4);
    cr_assert_lt(count(command, "<rtept "), 60); /* thinned: 2 parts of some 180 m */
    cr_assert_eq(count(command, "<name>S1</name>"), 1);
    snprintf(command, sizeof command, "cat %s", path); /* it writes a time of its own */
    cr_assert_eq(count(command, "<time>2026-05-11T17:45:30.250Z</time>"), 1);
    lw_plan_free(plan);
    lw_chart_free(chart);
}

Test(gpx, takes_any_name_of_a_lake)
{
    /* Markup, C0 and C1 controls, a noncharacter that XML forbids (U+FFFE), half a UTF-8 letter. */
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = lake_straight(150, &params);
    char path[300];

    strcpy(plan->lake, "<&\"'>]]>\x01\x1b[31m\xc2\x85\xef\xbf\xbe\xef\xbf\xbd\xc3");
    write_gpx(plan, path);
    check_schema(path);
    lw_plan_free(plan);
}

Test(gpx, says_when_it_cannot_write)
{
    struct lw_plan_params params = lake_params();
    struct lw_plan *plan = lake_straight(150, &params);
    struct lw_error err = {""};

    cr_assert_eq(lw_gpx_write_plan(plan, 0, "/dev/full", &err), -1);
    cr_assert(strstr(err.text, "/dev/full"), "%s", err.text);
    lw_plan_free(plan);
}
