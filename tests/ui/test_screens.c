/* Every screen at every size in every state: what must be said is said, nothing is drawn outside,
 * and no byte steers the terminal. */
#include "look.h"

TestSuite(screens, .init = setup, .fini = teardown);

static const int sizes[][2] = {{40, 12}, {60, 20}, {80, 24}, {120, 40}, {200, 60}};
#define SIZES (sizeof sizes / sizeof sizes[0])

static void check_cells(const char *what)
{
    for (int i = 0; i < day.canvas.w * day.canvas.h; i++) {
        const struct lw_cell *cell = &day.canvas.cell[i];

        cr_assert_lt(cell->role, LW_ROLES);
        cr_assert_lt(cell->tint, LW_ROLES);
        if (day.canvas.ascii)
            cr_assert(cell->ch >= 32 && cell->ch <= 126, "U+%04X on %s", cell->ch, what);
        else
            cr_assert(cell->ch == 0 || (cell->ch >= 32 && cell->ch != 127 &&
                                        !(cell->ch >= 0x80 && cell->ch < 0xa0)),
                      "U+%04X on %s", cell->ch, what);
    }
}

/* The canvas is one allocation, so that drawing outside of it is an error of the address
 * sanitizer's; what is checked here is what is in it. */
Test(screens, every_state_at_every_size_on_both_kinds_of_terminal)
{
    struct lw_beat beats[40];
    const struct lw_plan *plan = day.plan;

    for (int i = 0; i < 40; i++)
        beats[i] = (struct lw_beat){.length_m = 100 * (i + 1), .distance_m = 50 * i};
    strcpy(day.view.source_words, "\x1b]0;no\a server");
    strcpy(day.view.last_words, "14:25 fish, Zo\xc3\xab \x1b[31m, 9 ft");
    strcpy(day.plan->lake, "Gr\xc3\xbcn\tsee \xe6\xbc\xa2\xe5\xad\x97 a lake of a very long name "
                           "indeed");
    for (int ascii = 0; ascii < 2; ascii++)
        for (int screen = 0; screen < LW_SCREENS; screen++)
            for (int state = 0; state < 12; state++)
                for (size_t s = 0; s < SIZES + 3; s++) {
                    static const int odd[3][2] = {{1, 1}, {39, 11}, {300, 13}};
                    int w = s < SIZES ? sizes[s][0] : odd[s - SIZES][0];
                    int h = s < SIZES ? sizes[s][1] : odd[s - SIZES][1];

                    day.canvas.ascii = ascii;
                    day.ui.screen = (enum lw_screen_id)screen;
                    day.ui.edge_field = state % 4;
                    day.ui.ask.kind = LW_ASK_NONE;
                    day.view.plan = state == 1 ? NULL : plan;
                    day.view.frozen = state == 8 || state == 9;
                    day.view.frozen_where.at = state == 9 ? (struct lw_ll){NAN, NAN}
                                                          : day_ll(&day, 50, 5);
                    day.view.beat = beats;
                    day.view.beats = state == 10 ? 0 : 40;
                    day.view.trouble[0] = '\0';
                    day_boat(&day, 187, DAY_STANDOFF_M + (state == 3 ? 5000 : -8));
                    if (state == 2)
                        day_boat(&day, -900, -4000);
                    if (state == 4)
                        day_no_fix(&day, LW_FIX_NONE, 0);
                    if (state == 5)
                        day_no_fix(&day, LW_FIX_LOST, 100000);
                    if (state == 6)
                        day_no_fix(&day, LW_FIX_STALE, 7000);
                    if (state == 7) {
                        day.ui.ask.kind = LW_ASK_TEXT;
                        memset(day.ui.ask.sentence, 'x', 255);
                        memset(day.ui.ask.text, 'y', 127);
                    }
                    if (state == 11)
                        strcpy(day.view.trouble, "NOT SAVED: the disk is full");
                    free(day_draw(&day, w, h));
                    check_cells(lw_screen((enum lw_screen_id)screen)->title);
                }
}

Test(screens, strip_says_what_the_crew_asks)
{
    static const char *const words[] = {
        "Tarn Pool, east bar",
        "9 ft edge, 1378 ft",
        "3D ±6 ft",
        "0.4 s",
        "12:43:00",
        "Tue",
        "43 ft off ±7",
        "8 ft OUT, coming in",
        "steer 2 o'clock",
        "along 614 of 1378 ft",
        "0.6 mph",
        "18 ft deep",
        "48 F",
        "NW wind 9 mph",
        "3 of 7",
        "10 o'clock",
        "70 ft",
        "lands in 7 ft",
        "C  13:00 left of 20:00",
        "back 34 ft W",
        "light 7 h 17",
        "A rests until 12:45",
        "16 casts made",
        "12:36:00 fish, Rae, 9 ft, confirmed",
        "left hand marks for Rae, right for Jo",
        "where am I",
        "next cast",
        "when",
        "where back",
    };

    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        for (size_t s = 2; s < SIZES; s++)
            expect(sizes[s][0], sizes[s][1], words[i]);
}

Test(screens, side_is_said_in_a_word)
{
    day_boat(&day, 187, DAY_STANDOFF_M - 3);
    expect(80, 24, "10 ft IN, coming in");
    day_boat(&day, 187, DAY_STANDOFF_M + 0.4);
    expect(80, 24, "ON, 1 ft out");
    day_boat(&day, 187, DAY_STANDOFF_M - 0.1);
    expect(80, 24, "ON, coming in");
    expect(80, 24, "▲ on");
    expect_not(80, 24, " 0 ft");
    day.guidance.trend = LW_TREND_UNKNOWN;
    expect_not(80, 24, "coming");
    day.guidance.steer_clock = 0;
    day.guidance.at_station = false;
    expect(80, 24, "steer 160 S");
}

Test(screens, metric_people_read_metres)
{
    strcpy(day.conf.text[LW_SET_UNITS], "metric");
    expect(80, 24, "13.2 m off ±2.2");
    expect(80, 24, "2.5 m OUT");
    expect(80, 24, "along 187 of 420 m");
    expect(80, 24, "9 C");
}

/* Off, side and steering may not be shown from a position that is not fresh. */
Test(screens, no_fresh_position_is_said_in_words_in_place_of_figures)
{
    static const struct {
        enum lw_fix_state state;
        const char *words;
    } states[] = {
        {LW_FIX_STALE, "position is 7 s old: not used"},
        {LW_FIX_NONE, "no fix: the receiver sees too few satellites"},
        {LW_FIX_LOST, "no receiver: gpsd does not answer"},
    };
    static const char *const figures[] = {" off ±", "OUT",     "steer", "along 6",
                                          "mph E",  "o'clock", "▲"};

    for (size_t i = 0; i < 3; i++) {
        day_no_fix(&day, states[i].state, 7000);
        for (int screen = LW_SCREEN_STRIP; screen <= LW_SCREEN_FAR; screen++)
            for (size_t s = 2; s < SIZES; s++) {
                day.ui.screen = (enum lw_screen_id)screen;
                expect(sizes[s][0], sizes[s][1], states[i].words);
                for (size_t f = 0; f < sizeof figures / sizeof figures[0]; f++)
                    expect_not(sizes[s][0], sizes[s][1], figures[f]);
            }
        day.ui.screen = LW_SCREEN_STRIP;
        expect(40, 12, i == 0 ? "7 s old" : i == 1 ? "too few" : "gpsd does not answer");
    }
    expect(80, 24, "C  13:00 left of 20:00");
}

Test(screens, two_dimensional_fix_is_used_and_said)
{
    day.guidance.estimate.state = LW_FIX_2D;
    expect(80, 24, "2D only ±6 ft");
    expect(80, 24, "43 ft off");
}

Test(screens, without_an_edge_the_way_to_one_is_said)
{
    day.view.plan = NULL;
    expect(80, 24, "no edge chosen: press e and type a depth");
    expect(80, 24, "drive along it");
    expect(40, 12, "press e");
    day.view.busy = true;
    strcpy(day.view.busy_words, "planning ...");
    expect(80, 24, "planning ...");
}

Test(screens, a_mark_is_confirmed_only_when_it_is_durable)
{
    day.view.last_saved = LW_SAVED_PENDING;
    expect(80, 24, "fish, Rae, 9 ft, saving...");
    expect_not(80, 24, "confirmed");
    day.view.last_saved = LW_SAVED_FAILED;
    expect(80, 24, "fish, Rae, 9 ft, NOT SAVED");
    expect_not(80, 24, "confirmed");
    /* however long the words are, the state is not cut off */
    memset(day.view.last_words, 'w', 120);
    for (size_t s = 0; s < SIZES; s++)
        expect(sizes[s][0], sizes[s][1], ", NOT SAVED");
}

Test(screens, bottom_line_question_before_trouble_before_notice)
{
    strcpy(day.view.notice, "station 4 of 28");
    expect(80, 24, "station 4 of 28");
    expect_not(80, 24, "confirmed");
    strcpy(day.view.trouble, "NOT SAVED: the disk is full");
    expect(80, 24, "NOT SAVED: the disk is full");
    day.ui.ask.kind = LW_ASK_TEXT;
    strcpy(day.ui.ask.sentence, "Wind:");
    strcpy(day.ui.ask.text, "10 2");
    expect(80, 24, "Wind: 10 2_   Enter keeps it, Esc leaves");
    expect(80, 24, "NOT SAVED: the disk is full\nWind:"); /* a question hides no trouble */
    day.ui.ask.text[0] = day.view.trouble[0] = '\0';
    expect(80, 24, "Wind: _   Enter keeps it");
    expect_not(80, 24, "confirmed");
    day.view.last_mono_ms = day.view.mono_ms; /* a bite in the middle of a question */
    expect(80, 24, "12:36:00 fish, Rae, 9 ft, confirmed\nWind:");
    /* a long one takes more rows and stays whole */
    day.ui.ask.kind = LW_ASK_YES_NO;
    strcpy(day.ui.ask.sentence,
           "Work 1378 ft of the 9 ft edge, hold line 35 ft off on the deep side? y yes, n no");
    expect(40, 12,
           "Work 1378 ft of the 9 ft edge, hold line\n35 ft off on the deep side? y yes, n");
}

Test(screens, a_key_just_pressed_is_answered_before_what_goes_on)
{
    day.view.driving = true;
    expect(80, 24, "an edge is being driven: i ends it");
    day.view.last_saved = LW_SAVED_PENDING;
    expect(80, 24, "fish, Rae, 9 ft, saving...");
    day.view.last_saved = LW_SAVED_CONFIRMED;
    expect_not(80, 24, "fish, Rae, 9 ft, confirmed");
    day.view.last_mono_ms = day.view.mono_ms - 7000;
    expect(80, 24, "fish, Rae, 9 ft, confirmed");
    expect_not(80, 24, "driven");
    strcpy(day.view.trouble, "NOT SAVED: the disk is full");
    day.view.last_saved = LW_SAVED_PENDING;
    expect(80, 24, "fish, Rae, 9 ft, saving...\nNOT SAVED");
}

Test(screens, returns_say_their_state)
{
    day_at(&day, 160 + 6); /* A: dwell ended at 30 min, target 180, ripe from 165 */
    expect(80, 24, "A ripe, due in 14 min, 402 ft W");
    day_at(&day, 183);
    expect(80, 24, "A DUE since 3 min");
    day_at(&day, 212);
    expect(80, 24, "A LATE by 32 min");
    expect(80, 24, "1 done 2 snooze 3 drop");
}

Test(screens, dwell_away_is_said)
{
    day.now.dwell.away = true;
    day.now.dwell.away_s = 80;
    expect(80, 24, "paused, away 1:20 of 5:00");
    day.now.dwell.open = false;
    expect(80, 24, "no dwell");
}

Test(screens, places_list_what_one_can_go_back_to)
{
    static const char *const words[] = {"> A  rests until 12:45",
                                        "B  rests until 14:35",
                                        "C  dwelt at now",
                                        "2 snooze 30 min",
                                        "o ends it",
                                        "12:36:00  fish           Rae",
                                        "12:37:00  follow         Jo",
                                        "casts 16"};

    day.ui.screen = LW_SCREEN_PLACES;
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        expect(80, 24, words[i]);
    day.ui.return_chosen = 1;
    expect(80, 24, "> B  rests until 14:35");
    expect(80, 24, "B:  1 done");
}

Test(screens, help_fits_80_by_24_with_every_key_and_the_cautions)
{
    size_t n;
    const struct lw_key *keys = lw_keys(&n);

    day.ui.screen = LW_SCREEN_HELP;
    for (size_t i = 0; i < n; i++) {
        expect(80, 24, keys[i].help ? keys[i].help : keys[i].name);
        expect(80, 24, keys[i].name);
    }
    expect(80, 24, "not for navigation");
    expect(80, 24, "Life jackets");
    expect(80, 24, "Cold water");
    expect(80, 24, "30 minutes after the last thunder");
    expect(80, 24, "Local seasons, sanctuaries and regulations");
    expect(80, 24, "left hand, Rae                          right hand, Jo");
    /* on the smallest screen the end can be reached */
    for (int i = 0; i < 40; i++)
        lw_ui_key(&day.view, &day.ui, LW_KEY_DOWN);
    expect(40, 12, "Local seasons");
}

Test(screens, edge_screen_lists_beats)
{
    struct lw_beat beats[2] = {{.length_m = 420, .distance_m = 30, .bearing_deg = 45},
                               {.length_m = 2000, .closed = true, .distance_m = 900}};

    day.ui.screen = LW_SCREEN_EDGE;
    strcpy(day.ui.depth_text, "9");
    day.view.beat = beats;
    day.view.beats = 2;
    day.view.beats_depth_m = 9 * LW_FT_M;
    day.ui.edge_field = 1;
    expect(80, 24, "2 edges at 9 ft, nearest first");
    expect(80, 24, ">  1    0.3 mi long     98 ft NE  open");
    expect(80, 24, "1.2 mi long    0.6 mi N  all around");
    expect(40, 12, "0.3 mi long     98 ft NE");
    day.view.chart = NULL;
    expect(80, 24, "no map is open");
}

Test(screens, emergency_shows_large_coordinates_and_the_way_back)
{
    day.view.frozen = true;
    day.view.frozen_utc_ms = day.view.now_utc_ms - 190000;
    /* 46 00.528 N is 46.0088, 089 41.982 W is -89.6997: minutes are degrees times 60 */
    day.view.frozen_where.at = (struct lw_ll){46.0088, -89.6997};
    day.guidance.freeze_back_m = 85;
    day.guidance.freeze_back_deg = 272;
    free(day_draw(&day, 80, 24));
    cr_expect(shows_big(1, "46 00.528 N"));
    cr_expect(shows_big(1, "089 41.982 W"));
    cr_expect(shows_big(1, "279 FT"));
    expect(80, 24, "46.008800, -89.699700");
    expect(80, 24, "bearing 272 (W), 6 o'clock");
    expect(80, 24, "3 min ago");
    expect(80, 24, "release: 0, then y");
    expect(40, 12, "46 00.528 N  089 41.982 W");
    expect(40, 12, "release: 0, then y");
    free(day_draw(&day, 40, 12));
    cr_expect(shows_big(1, "279 FT"));
    /* rounding must not make 60.000 minutes */
    day.view.frozen_where.at = (struct lw_ll){-45.9999999, 9.99999999};
    expect(40, 12, "46 00.000 S  010 00.000 E");
    day.view.frozen_where.age_s = 75;
    day_no_fix(&day, LW_FIX_NONE, 0);
    expect(80, 24, "1 min old when frozen");
    expect(80, 24, "no fix: the receiver sees too few satellites");
    day.view.frozen_where.at = (struct lw_ll){NAN, NAN};
    expect(80, 24, "There was no position to freeze");
}

Test(screens, a_window_too_small_says_so_and_still_the_side)
{
    expect(38, 11, "too small");
    expect(38, 11, "8 ft OUT");
}
