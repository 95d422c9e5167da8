/* Hazards, cover and today's level on the screens. */
#include "../../src/ui/strip.h"
#include "look.h"

TestSuite(ground, .init = setup, .fini = teardown);

static void put_hazard(double along_m, double off_m, double depth_m)
{
    struct lw_hazard hazard = {.kind = LW_HAZARD_ROCK, .depth_m = depth_m};

    cr_assert_eq(lw_line_add(&hazard.line, lw_plan_point(day.plan, along_m, off_m)), 0);
    cr_assert_eq(lw_features_add_hazard(&day.chart->features, &hazard), 0);
}

static void put_patch(enum lw_cover_kind kind, double along_m, double off_m, double half_m)
{
    static const double corner[5][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}, {-1, -1}};
    struct lw_cover cover = {.kind = kind};

    for (int i = 0; i < 5; i++)
        cr_assert_eq(
            lw_line_add(&cover.line, lw_plan_point(day.plan, along_m + half_m * corner[i][0],
                                                   off_m + half_m * corner[i][1])),
            0);
    cover.line.closed = true;
    cr_assert_eq(lw_features_add_cover(&day.chart->features, &cover), 0);
}

static void near_hazard(double m, double depth_m)
{
    put_hazard(200, 8, depth_m);
    day.guidance.hazard = &day.chart->features.hazard[0];
    day.guidance.hazard_m = m;
    day.guidance.hazard_deg = 45;
    day.guidance.hazard_clock = 2;
    day.guidance.hazard_depth_m = depth_m;
}

Test(ground, a_near_hazard_is_said_with_its_way_and_depth_at_every_size)
{
    near_hazard(20, 3 * LW_FT_M);
    expect(200, 60, "rock 66 ft, 2 o'clock    3 ft over it");
    expect(120, 40, "rock 66 ft, 2 o'clock    3 ft over it");
    expect(80, 24, "rock 66 ft, 2 o'clock  3 ft over it");
    expect(80, 24, "18 ft deep");
    expect(40, 12, "rock 66 ft, 2 o'clock, 3 ft over it");
    day.guidance.depth_m = NAN; /* without a sounder the map's depth stays beside it */
    expect(80, 24, "map 19 ft");
    day.ui.screen = LW_SCREEN_FAR;
    expect(120, 40, "rock 66 ft, 2 o'clock, 3 ft over it");
    day.guidance.hazard_clock = 0;
    expect(120, 40, "rock 66 ft, bearing 045");
    day.guidance.hazard_m = 0.5;
    day.guidance.hazard_depth_m = -0.1;
    expect(120, 40, "rock under the boat, out of the water");
}

Test(ground, deep_water_over_it_is_no_warning_and_no_row_of_the_far_read)
{
    near_hazard(20, 6);
    expect(120, 40, "rock 66 ft, 2 o'clock    20 ft over it");
    day.ui.screen = LW_SCREEN_FAR;
    expect_not(120, 40, "rock");
}

/* The sounder's answer over three rows of the smallest screen. */
Test(ground, a_notice_hides_neither_hazard_nor_off)
{
    near_hazard(20, 0.5);
    strcpy(day.view.notice, "The sounder and the map agree within 0.4 ft at 173 places; this line "
                            "is made so long that it takes all the rows it can get here");
    expect(40, 12, "rock 66 ft, 2 o'clock, 2 ft over it");
    cr_expect(shows_big_at(40, 12, "43"), "the off figure had to go");
}

Test(ground, the_shallow_alarm_stays_beside_a_hazard)
{
    near_hazard(20, 0.5);
    day.guidance.alarms = LW_ALARM_SHALLOW;
    day.ui.screen = LW_SCREEN_FAR;
    expect(40, 12, "Shallow; rock 66 ft, 2 o'clock");
    expect(80, 24, "Shallow: less water here");
    expect(80, 24, "rock 66 ft, 2 o'clock, 2 ft over it");
    cr_expect(shows_big_at(40, 12, "43"), "the off figure had to go");
}

Test(ground, cover_is_said_where_the_boat_is_and_where_the_cast_lands)
{
    put_patch(LW_COVER_GRAVEL, 187, 20, 12);
    put_patch(LW_COVER_ROCK, 187, -5, 8);
    day.guidance.cover = &day.chart->features.cover[0];
    day.guidance.cast_cover = &day.chart->features.cover[1];
    expect(80, 24, "18 ft deep, gravel");
    expect(80, 24, "lands in 7 ft, rock");
    expect(40, 12, "lands in 7 ft, rock");
    day.guidance.depth_m = NAN;
    expect(120, 40, "map 19 ft, gravel");
}

/* A hazard on the strip, found by its sign, against along and off worked out from the plan. */
Test(ground, a_hazard_stands_on_the_strip_where_it_lies)
{
    struct ui_strip strip;
    int found = 0;

    put_hazard(170, 15, 1);
    free(day_draw(&day, 120, 40));
    cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
    for (int row = strip.y; row < strip.y + strip.h; row++)
        for (int col = strip.x; col < strip.x + strip.w; col++)
            if (day.canvas.cell[row * day.canvas.w + col].ch == '!') {
                found++;
                cr_expect_float_eq(ui_strip_along(&strip, col), 170, strip.m_per_col);
                cr_expect_float_eq(ui_strip_off(&strip, row), 15, strip.m_per_row);
            }
    cr_expect_eq(found, 1);
    expect(120, 40, "! rock 3 ft");
    expect(80, 24, "! rock");
    expect_not(80, 24, "rock 3 ft");
    day.guidance.level_m = 0.5;
    expect(120, 40, "! rock 5 ft");
}

static int count(const char *text, const char *words)
{
    int n = 0;

    for (; (text = strstr(text, words)); text += strlen(words))
        n++;
    return n;
}

/* On the hold line the sign stays before a station's ring, and the word goes beside the line. */
Test(ground, a_hazard_on_the_hold_line_is_seen_before_a_station)
{
    size_t near = 0;

    for (size_t i = 1; i < day.plan->stations; i++) /* on the page that is shown */
        if (fabs(day.plan->station[i].along_m - 210) < fabs(day.plan->station[near].along_m - 210))
            near = i;
    put_hazard(day.plan->station[near].along_m, day.plan->params.standoff_m, 1);
    expect(120, 40, "!");
    expect(120, 40, "rock 3 ft");
    expect(80, 24, "rock");
}

/* Patches and rocks everywhere, landings and marks among them: every word is whole. */
Test(ground, no_word_is_cut)
{
    static const int size[3][2] = {{80, 24}, {120, 40}, {200, 60}};

    for (int i = 0; i < 30; i++) {
        put_patch(LW_COVER_GRAVEL, 150 + 3 * i, -12 + i, 6);
        put_hazard(150 + 4 * i, -10 + i, NAN);
    }
    for (int i = 0; i < 3; i++) {
        char *text = day_draw(&day, size[i][0], size[i][1]);

        cr_expect_gt(count(text, "gravel"), 0, "%s", text);
        cr_expect_eq(count(text, "grav"), count(text, "gravel"), "%s", text);
        cr_expect_eq(count(text, "vel"), count(text, "gravel"), "%s", text);
        cr_expect_eq(count(text, "roc"), count(text, "rock"), "%s", text);
        cr_expect_eq(count(text, "ock"), count(text, "rock") + count(text, "clock"), "%s", text);
        free(text);
    }
}

/* A rim of 100,000 vertices about the whole page took a second a draw, and the keys with it. */
Test(ground, a_long_rim_is_drawn_in_a_moment)
{
    struct lw_cover cover = {.kind = LW_COVER_WEED};
    struct lw_hazard hazard = {.kind = LW_HAZARD_ROCK, .depth_m = 1};
    struct lw_en middle = lw_plan_point(day.plan, 200, 0);
    int64_t began_ms, took_ms;

    for (int i = 0; i <= 100000; i++) {
        double t = 2 * M_PI * (i % 100000) / 100000, r = 2000 + 30 * sin(5000 * t);
        struct lw_en at = {middle.e_m + r * cos(t), middle.n_m + r * sin(t)};

        cr_assert_eq(lw_line_add(&cover.line, at), 0);
        cr_assert_eq(lw_line_add(&hazard.line, at), 0);
    }
    cover.line.closed = hazard.line.closed = true;
    cr_assert_eq(lw_features_add_cover(&day.chart->features, &cover), 0);
    cr_assert_eq(lw_features_add_hazard(&day.chart->features, &hazard), 0);
    began_ms = lw_clock_mono_ms();
    expect(200, 60, "weed");
    took_ms = lw_clock_mono_ms() - began_ms;
    cr_expect_lt(took_ms, 200, "%lld ms", (long long)took_ms);
}

Test(ground, what_lies_off_the_page_is_not_on_it)
{
    put_hazard(170, 400, 1);
    put_patch(LW_COVER_WEED, 170, -300, 20);
    expect_not(120, 40, "!");
    expect_not(120, 40, "weed");
}

Test(ground, an_area_of_cover_is_named_within_it)
{
    struct ui_strip strip;
    int col = -1, row = -1;

    put_patch(LW_COVER_GRAVEL, 165, 5, 9);
    free(day_draw(&day, 120, 40));
    cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
    for (int y = strip.y; y < strip.y + strip.h && row < 0; y++)
        for (int x = strip.x; x + 6 <= strip.x + strip.w && row < 0; x++)
            if (day.canvas.cell[y * day.canvas.w + x].ch == 'g' &&
                day.canvas.cell[y * day.canvas.w + x + 5].ch == 'l')
                col = x + 3, row = y;
    cr_assert_geq(row, 0, "no word");
    cr_expect_float_eq(ui_strip_along(&strip, col), 165, 9);
    cr_expect_float_eq(ui_strip_off(&strip, row), 5, 9);
    cr_expect_neq(row, ui_strip_row(&strip, 0), "the edge is cut");
}

/* Without a level the header says 9 ft and the axis 9 ft on the edge (test_screens.c). */
Test(ground, the_level_is_in_the_edges_name_and_on_the_axis)
{
    day.guidance.level_m = 2 * LW_FT_M;
    expect(80, 24, "11 ft edge, ");
    expect(80, 24, "11 ft\u2502");
    day.chart->deepest_m = 40 * LW_FT_M;
    day.ui.screen = LW_SCREEN_EDGE;
    expect(80, 24, "the deepest contour is 42 ft");
}

Test(ground, a_map_being_read_is_said_and_why_there_is_none)
{
    char *text;

    day.view.chart = NULL;
    day.view.busy = true;
    strcpy(day.view.busy_words, "reading lake.shp: depth surface 40 %, Esc stops it");
    day.view.last_words[0] = '\0';
    expect(80, 24, "reading lake.shp: depth surface 40 %, Esc stops it");
    day.ui.screen = LW_SCREEN_EDGE;
    expect(80, 24, "reading lake.shp: depth surface 40 %, Esc stops it");
    expect(40, 12, "reading lake.shp: depth surface 40 %");
    day.view.busy = false;
    strcpy(day.view.no_map, "no map: lake.shp is damaged; Esc reads it again");
    text = day_draw(&day, 80, 24);
    cr_expect_eq(count(text, "no map: lake.shp is damaged; Esc reads it again"), 1, "%s", text);
    free(text);
    day.ui.screen = LW_SCREEN_STRIP;
    expect(80, 24, "no map: lake.shp is damaged; Esc reads it again");
    strcpy(day.view.last_words, "12:43:00 bite, Rae");
    day.view.last_mono_ms = day.view.mono_ms;
    expect(80, 24, "bite, Rae, confirmed");
    expect_not(80, 24, "no map:");
}

Test(ground, escape_reaches_the_map_only_where_no_question_or_screen_wants_it)
{
    day.ui.ask = (struct lw_ask){.kind = LW_ASK_YES_NO, .about = LW_ACT_QUIT};
    cr_expect_eq(lw_ui_key(&day.view, &day.ui, LW_KEY_ESC).action, LW_ACT_ANSWER);
    day.ui.ask.kind = LW_ASK_NONE;
    day.ui.screen = LW_SCREEN_EDGE;
    cr_expect_eq(lw_ui_key(&day.view, &day.ui, LW_KEY_ESC).action, LW_ACT_NONE);
    cr_expect_eq(day.ui.screen, LW_SCREEN_STRIP);
    cr_expect_eq(lw_ui_key(&day.view, &day.ui, LW_KEY_ESC).action, LW_ACT_MAP);
    day.ui.screen = LW_SCREEN_FAR;
    cr_expect_eq(lw_ui_key(&day.view, &day.ui, LW_KEY_ESC).action, LW_ACT_MAP);
    cr_expect_eq(lw_ui_key(&day.view, &day.ui, 'U').action, LW_ACT_COMPARE);
}
