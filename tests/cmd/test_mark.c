/* `lipwalk mark`: into the running trip, with the boat's last position, and only when it is saved.
 */
#include <criterion/criterion.h> /* before redirect.h, whose own asserts are only words */
#include <criterion/redirect.h>
#include <math.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/cmd/commands.h"
#include "lipwalk/cmd/plan_params.h"
#include "lipwalk/journal/journal.h"
#include "lipwalk/plan/file.h"
#include "lw_test.h"

#define TRIP "20261125-060000-0001"
#define MARK(...)                                                                                  \
    lw_cmd_mark((int)(sizeof((char *[]){__VA_ARGS__}) / sizeof(char *)), (char *[]){__VA_ARGS__})

struct boat { /* the process that runs the trip */
    char path[600];
    struct lw_journal *journal;
    int64_t read_after;
};

static void begin(struct boat *boat)
{
    char folder[512];
    struct lw_error err = {""};

    cr_redirect_stdout();
    cr_redirect_stderr();
    lw_test_scratch(folder, sizeof folder);
    snprintf(boat->path, sizeof boat->path, "%s/day.db", folder);
    boat->read_after = 0;
    cr_assert_eq(lw_journal_open(boat->path, &boat->journal, &err), 0, "%s", err.text);
}

static void happen(struct boat *boat, struct lw_event event)
{
    struct lw_error err = {""};

    snprintf(event.trip, sizeof event.trip, TRIP);
    cr_assert_eq(lw_journal_append(boat->journal, &event, &err), 0, "%s", err.text);
    cr_assert_eq(lw_journal_flush(boat->journal, 10000, &err), 0, "%s", err.text);
}

static void track(struct boat *boat, int64_t at_utc_ms, double lat_deg)
{
    struct lw_event event = lw_event_new(LW_EV_TRACK, at_utc_ms);

    event.u.track.where.at = (struct lw_ll){lat_deg, -89.7};
    event.u.track.where.age_s = 0.5;
    event.u.track.where.off_m = 10.5;
    event.u.track.depth_m = 4.25;
    happen(boat, event);
}

static int keep(void *context, const struct lw_event *event)
{
    *(struct lw_event *)context = *event;
    return 0;
}

/* The one event that came from elsewhere since. */
static struct lw_event seen(struct boat *boat)
{
    struct lw_event event = {.kind = LW_EV_KINDS};
    struct lw_error err = {""};

    cr_assert(lw_journal_changed(boat->journal));
    cr_assert_eq(
        lw_journal_read(boat->journal, TRIP, true, &boat->read_after, keep, &event, NULL, &err), 0,
        "%s", err.text);
    cr_assert_eq(event.kind, LW_EV_MARK);
    return event;
}

Test(mark, goes_into_the_running_trip_with_the_last_position)
{
    int64_t now = lw_clock_system_utc_ms();
    struct boat boat;
    struct lw_event mark;

    begin(&boat);
    happen(&boat, lw_event_new(LW_EV_TRIP, now - 60000));
    track(&boat, now - 9000, 46.001);
    track(&boat, now - 3000, 46.002);
    lw_journal_changed(boat.journal);
    cr_assert_eq(MARK("mark", "fish", "--note", "big one", "--who", "Kim", "--journal", boat.path),
                 0);
    mark = seen(&boat);
    cr_assert_eq(mark.u.mark.kind, LW_MARK_FISH);
    cr_assert_eq(mark.u.mark.who, 2);
    cr_assert_str_eq(mark.u.mark.who_name, "Kim");
    cr_assert_str_eq(mark.u.mark.note, "big one");
    cr_assert_float_eq(mark.u.mark.where.at.lat_deg, 46.002, 0);
    cr_assert_float_eq(mark.u.mark.where.age_s, 3.5, 2.5, "%g", mark.u.mark.where.age_s);
    cr_assert_geq(mark.u.mark.where.age_s, 3.5);
    cr_assert_float_eq(mark.u.mark.where.off_m, 10.5, 0);
    cr_assert_float_eq(mark.u.mark.depth_m, 4.25, 0);
    cr_assert_lt(llabs(mark.at_utc_ms - now), 20000);
    fflush(stdout);
    cr_assert_stdout_eq_str("marked fish, confirmed\n");
    lw_journal_close(boat.journal, NULL);
}

Test(mark, follows_the_clock_of_the_trip)
{
    int64_t now = lw_clock_system_utc_ms(), ahead = 2 * INT64_C(3600000);
    struct lw_event step = lw_event_new(LW_EV_CLOCK, now + ahead);
    struct boat boat;
    struct lw_event mark;

    begin(&boat);
    happen(&boat, lw_event_new(LW_EV_TRIP, now - 60000));
    track(&boat, now - 4000, 46.001); /* by the clock that was two hours slow */
    step.u.clock.step_ms = ahead;
    happen(&boat, step);
    lw_journal_changed(boat.journal);
    cr_assert_eq(MARK("mark", "bottom", "change", "--journal", boat.path), 0);
    mark = seen(&boat);
    cr_assert_eq(mark.u.mark.kind, LW_MARK_BOTTOM);
    cr_assert_lt(llabs(mark.at_utc_ms - now - ahead), 20000);
    cr_assert_float_eq(mark.u.mark.where.age_s, 5, 3, "%g", mark.u.mark.where.age_s);
    lw_journal_close(boat.journal, NULL);
}

Test(mark, is_kept_without_a_position_and_with_an_old_one)
{
    int64_t now = lw_clock_system_utc_ms();
    struct boat boat;
    struct lw_event mark;

    begin(&boat);
    happen(&boat, lw_event_new(LW_EV_TRIP, now - 600000));
    lw_journal_changed(boat.journal);
    cr_assert_eq(MARK("mark", "bite", "--journal", boat.path), 0);
    mark = seen(&boat);
    cr_assert(isnan(mark.u.mark.where.at.lat_deg));
    track(&boat, now - 500000, 46.001);
    lw_journal_changed(boat.journal);
    cr_assert_eq(MARK("mark", "bite", "--journal", boat.path), 0);
    mark = seen(&boat);
    cr_assert_float_eq(mark.u.mark.where.age_s, 505, 5);
    cr_assert(isnan(mark.u.mark.depth_m), "that depth was measured elsewhere");
    lw_journal_close(boat.journal, NULL);
}

Test(mark, says_so_when_no_trip_runs)
{
    int64_t now = lw_clock_system_utc_ms();
    struct boat boat;

    begin(&boat);
    cr_assert_eq(MARK("mark", "fish", "--journal", "/nonexistent/day.db"), 1);
    cr_assert_eq(MARK("mark", "fish", "--journal", boat.path), 1, "an empty journal");
    happen(&boat, lw_event_new(LW_EV_TRIP, now - 13 * INT64_C(3600000)));
    cr_assert_eq(MARK("mark", "fish", "--journal", boat.path), 1, "left 13 hours ago");
    happen(&boat, lw_event_new(LW_EV_TRACK, now - 11 * INT64_C(3600000)));
    cr_assert_eq(MARK("mark", "fish", "--journal", boat.path), 0, "11 hours ago");
    happen(&boat, lw_event_new(LW_EV_TRIP_END, now));
    cr_assert_eq(MARK("mark", "fish", "--journal", boat.path), 1, "ended");
    lw_journal_close(boat.journal, NULL);
}

Test(mark, a_wrong_call_is_two)
{
    cr_redirect_stderr();
    cr_assert_eq(MARK("mark"), 2);
    cr_assert_eq(MARK("mark", "whale"), 2);
    cr_assert_eq(MARK("mark", "fish", "--colour", "red"), 2);
    fflush(stderr);
    cr_assert_stderr_neq_str("");
}

Test(mark, says_it_as_json)
{
    int64_t now = lw_clock_system_utc_ms();
    struct boat boat;
    char line[1000];
    FILE *from;

    begin(&boat);
    happen(&boat, lw_event_new(LW_EV_TRIP, now - 60000));
    track(&boat, now - 3000, 46.002);
    cr_assert_eq(MARK("mark", "snag", "--json", "--journal", boat.path), 0);
    fflush(stdout);
    from = cr_get_redirected_stdout();
    cr_assert_not_null(fgets(line, sizeof line, from));
    cr_assert(strstr(line, "\"mark\":\"snag\""), "%s", line);
    cr_assert(strstr(line, "\"confirmed\":true"), "%s", line);
    cr_assert(strstr(line, "\"lat\":46.002"), "%s", line);
    cr_assert(strstr(line, "\"water_c\":null"), "%s", line);
    lw_journal_close(boat.journal, NULL);
}

/* A straight edge along the parallel of 46.002, worked 10 m to the north of it: the bait of a mark
 * from another terminal is at the edge abeam, with the map shift taken off again. */
Test(mark, takes_the_edge_abeam_for_the_bait)
{
    int64_t now = lw_clock_system_utc_ms();
    struct lw_frame frame = {{46.002, -89.7}};
    struct lw_line line = {0};
    struct lw_plan_params params;
    struct lw_event plan = lw_event_new(LW_EV_PLAN, now - 50000);
    struct lw_event shift = lw_event_new(LW_EV_SETTING, now - 40000);
    struct lw_conf conf;
    struct lw_error err = {""};
    struct lw_plan *made;
    struct boat boat;
    struct lw_event mark;
    double m, deg;

    begin(&boat);
    lw_line_add(&line, (struct lw_en){-200, 0});
    lw_line_add(&line, (struct lw_en){200, 0});
    lw_conf_defaults(&conf);
    lw_plan_params_from_conf(&conf, &params);
    cr_assert_eq(lw_plan_from_line(NULL, &frame, &line, true, &params, &made, &err), 0, "%s",
                 err.text);
    snprintf(plan.u.plan.path, sizeof plan.u.plan.path, "%.500s.geojson", boat.path);
    cr_assert_eq(lw_plan_write(made, plan.u.plan.path, &err), 0, "%s", err.text);
    happen(&boat, lw_event_new(LW_EV_TRIP, now - 60000));
    happen(&boat, plan);
    snprintf(shift.u.setting.name, sizeof shift.u.setting.name, "shift_n_m");
    shift.u.setting.value = 4;
    happen(&boat, shift);
    track(&boat, now - 3000, lw_geodesic_to(frame.origin, 0, 10).lat_deg);
    lw_journal_changed(boat.journal);
    cr_assert_eq(MARK("mark", "bite", "--journal", boat.path), 0);
    mark = seen(&boat);
    lw_geodesic(frame.origin, mark.u.mark.bait, &m, &deg);
    cr_assert_float_eq(m, 4, 0.01, "%g m", m); /* the edge is 4 m south of where the map has it */
    cr_assert_float_eq(deg, 180, 0.5);
    cr_assert_not(mark.u.mark.bait_from_cast);
    lw_plan_free(made);
    lw_line_free(&line);
    lw_journal_close(boat.journal, NULL);
}
