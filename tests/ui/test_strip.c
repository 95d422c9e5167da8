/* Where things stand on the strip, read off the drawn screen: against its own axes, and against
 * along and off worked out from the plan. */
#include <locale.h>

#include "../../src/ui/strip.h"
#include "day.h"

static struct day day;

static void setup(void)
{
    setlocale(LC_CTYPE, "C.UTF-8");
    day_begin(&day, false);
}

static void teardown(void)
{
    day_end(&day);
}

TestSuite(strip, .init = setup, .fini = teardown);

static uint32_t ch_at(int x, int y)
{
    return day.canvas.cell[y * day.canvas.w + x].ch;
}

/* The only cell with that character in rows from .. to; -1 when there is none or a second one. */
static int find(uint32_t ch, int from, int to, int *row)
{
    int col = -1;

    for (int y = from; y < to; y++)
        for (int x = 0; x < day.canvas.w; x++)
            if (ch_at(x, y) == ch) {
                cr_assert_eq(col, -1, "there are two of them");
                col = x;
                *row = y;
            }
    return col;
}

/* The row that holds most of a character. */
static int row_of(uint32_t ch, int from)
{
    int best = -1, most = 0;

    for (int y = from; y < day.canvas.h; y++) {
        int n = 0;

        for (int x = 0; x < day.canvas.w; x++)
            n += ch_at(x, y) == ch;
        if (n > most)
            most = n, best = y;
    }
    return best;
}

static void draw(int w, int h)
{
    free(day_draw(&day, w, h));
}

static const int sizes[][2] = {{80, 24}, {120, 40}, {200, 60}};
#define SIZES (sizeof sizes / sizeof sizes[0])

Test(strip, boat_on_edge_and_hold_line_is_drawn_on_them)
{
    for (size_t i = 0; i < SIZES; i++) {
        int row = -1;

        day_boat(&day, 200, 0);
        draw(sizes[i][0], sizes[i][1]);
        cr_expect_geq(find(0x25b2, 7, day.canvas.h, &row), 0);
        cr_expect_eq(row, row_of(0x2550, 7), "on the edge at %d", sizes[i][0]);
        day_boat(&day, 200, DAY_STANDOFF_M);
        draw(sizes[i][0], sizes[i][1]);
        cr_expect_geq(find(0x25b2, 7, day.canvas.h, &row), 0);
        cr_expect_eq(row, row_of(0x2500, 1 + row_of(0x2550, 7)), "on the hold line");
    }
}

Test(strip, deep_side_is_down)
{
    int edge, up = -1, down = -1;

    day_boat(&day, 200, -5);
    draw(80, 24);
    edge = row_of(0x2550, 7);
    find(0x25b2, 7, 24, &up);
    day_boat(&day, 200, 5);
    draw(80, 24);
    find(0x25b2, 7, 24, &down);
    cr_expect(up < edge && edge < down);
}

/* At along 500 ft the boat stands over the tick that says 500. */
Test(strip, boat_stands_over_the_tick_of_its_along)
{
    for (size_t i = 0; i < SIZES; i++) {
        char text[1024];
        int row = -1, col, w, axis;
        const char *tick;

        day_boat(&day, 500 * LW_FT_M + 0.01, DAY_STANDOFF_M + 3);
        draw(sizes[i][0], sizes[i][1]);
        axis = day.canvas.h - 2;
        day.canvas.ascii = true;
        draw(sizes[i][0], sizes[i][1]);
        day.canvas.ascii = false;
        lw_canvas_row(&day.canvas, axis, text, sizeof text);
        tick = strstr(text, "|500");
        cr_assert_not_null(tick, "no tick in: %s", text);
        draw(sizes[i][0], sizes[i][1]);
        col = find(0x25b2, 7, day.canvas.h, &row);
        w = (int)(tick - text);
        cr_expect_leq(abs(col - w), 1, "boat in %d, tick in %d", col, w);
    }
}

/* Along and off of a mark worked out by the plan itself from its position. */
Test(strip, marks_stand_within_a_cell_of_their_along_and_off)
{
    static const double at[][2] = {{150, -4}, {170.3, 6.5}, {201, -12}, {230, 3}};

    day_boat(&day, 190, DAY_STANDOFF_M);
    day.guidance.station = 0; /* no landings over the marks */
    for (size_t i = 0; i < sizeof at / sizeof at[0]; i++)
        day_mark(&day, 1, LW_MARK_WEED, 0, at[i][0], at[i][1]);
    for (size_t s = 0; s < SIZES; s++) {
        struct ui_strip strip;
        int seen = 0;

        draw(sizes[s][0], sizes[s][1]);
        cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
        for (size_t i = 0; i < sizeof at / sizeof at[0]; i++) {
            double col = strip.x + (at[i][0] - strip.from_m) / strip.m_per_col;
            double row = strip.y + strip.edge_row + at[i][1] / strip.m_per_row;

            for (int y = strip.y; y < strip.y + strip.h; y++)
                for (int x = strip.x; x < strip.x + strip.w; x++)
                    seen += ch_at(x, y) == 'w' && fabs(x + 0.5 - col) <= 1 && fabs(y - row) <= 1;
        }
        cr_expect_eq(seen, 4, "%d of 4 marks in their place", seen);
    }
}

Test(strip, a_map_shift_moves_marks_and_not_the_beat)
{
    struct lw_en north = lw_plan_point(day.plan, 200, -6), edge = lw_plan_point(day.plan, 200, 0);
    int before = -1, after = -1;

    day_boat(&day, 190, DAY_STANDOFF_M);
    day.guidance.station = 0;
    day_mark(&day, 1, LW_MARK_WEED, 0, 200, 0.6 - 6);
    draw(80, 24);
    find('w', 7, 22, &before);
    /* six metres outward, to the deep side */
    day.guidance.shift = (struct lw_en){edge.e_m - north.e_m, edge.n_m - north.n_m};
    draw(80, 24);
    find('w', 7, 22, &after);
    cr_expect_gt(after, before);
}

Test(strip, landings_are_numbered_at_their_place)
{
    const struct lw_station *station = &day.plan->station[12];
    struct lw_offset_at next;
    struct ui_strip strip;

    day_boat(&day, station->along_m, DAY_STANDOFF_M + 4);
    day.guidance.station = 13;
    day.guidance.cast = 3;
    day_cast(&day, 1, 13, 1);
    /* a bite on the next landing may not hide it */
    next = lw_plan_offset(day.plan, day.plan->cast[station->cast0 + 2].to);
    day_mark(&day, 1, LW_MARK_BITE, 0, next.along_m, next.off_m);
    draw(120, 40);
    cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
    for (size_t i = 0; i < station->casts; i++) {
        const struct lw_cast *cast = &day.plan->cast[station->cast0 + i];
        struct lw_offset_at at = lw_plan_offset(day.plan, cast->to);
        int row = -1, col = -1;
        const struct lw_cell *cell;

        /* all land up on the flat, above the edge */
        for (int y = strip.y; y < strip.y + strip.edge_row; y++)
            for (int x = strip.x; x < strip.x + strip.w; x++)
                if (ch_at(x, y) == (uint32_t)('0' + cast->order)) {
                    cr_assert_eq(col, -1, "landing %d is there twice", cast->order);
                    col = x;
                    row = y;
                }
        cr_assert_geq(col, 0, "landing %d is not there", cast->order);
        cr_expect_lt(fabs(col + 0.5 - strip.x - (at.along_m - strip.from_m) / strip.m_per_col), 1);
        cr_expect_lt(fabs(row - strip.y - strip.edge_row - at.off_m / strip.m_per_row), 1);
        cell = &day.canvas.cell[row * day.canvas.w + col];
        cr_expect_eq(cell->reverse, cast->order == 3, "the next one stands out");
        cr_expect_eq(cell->role, cast->order == 1 ? LW_ROLE_DIM : LW_ROLE_CAST);
    }
}

/* Worked cells: about the line of a cast that was made, inside the belt, and nowhere else. */
Test(strip, worked_cells_lie_along_casts_made)
{
    const struct lw_plan_params *p = &day.plan->params;
    const struct lw_station *station = &day.plan->station[12];
    const struct lw_cast *cast = &day.plan->cast[station->cast0];
    struct ui_strip strip;
    int worked = 0;

    day_boat(&day, station->along_m, DAY_STANDOFF_M + 4);
    day.guidance.station = 0;
    draw(120, 40);
    cr_expect_eq(row_of(0x2591, 0), -1, "nothing is worked before the first cast");
    day_cast(&day, 1, 13, 1);
    draw(120, 40);
    cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
    for (int y = strip.y; y < strip.y + strip.h; y++)
        for (int x = strip.x; x < strip.x + strip.w; x++) {
            double off_m = ui_strip_off(&strip, y), nearest = 1e9;
            struct lw_en at = lw_plan_point(day.plan, ui_strip_along(&strip, x), off_m);

            for (int i = 0; i <= 1000; i++) {
                struct lw_en on = {cast->from.e_m + (cast->to.e_m - cast->from.e_m) * i / 1000,
                                   cast->from.n_m + (cast->to.n_m - cast->from.n_m) * i / 1000};

                nearest = fmin(nearest, lw_en_distance(at, on));
            }
            if (ch_at(x, y) != 0x2591)
                continue;
            worked++;
            cr_expect_leq(nearest, p->swath_m / 2 + 0.01);
            cr_expect(off_m > -p->up_m - strip.m_per_row && off_m < p->past_m + strip.m_per_row);
        }
    cr_expect_gt(worked, 5);
}

Test(strip, page_turns_once_and_not_at_every_wave)
{
    struct ui_strip strip;
    double from, turned;
    int turns = 0;

    day_boat(&day, 60, DAY_STANDOFF_M);
    draw(80, 24);
    from = day.ui.page_from_m;
    cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, from), 0);
    cr_assert_gt(ui_strip_pages(&strip, day.plan), 2);
    /* up to nine tenths and a half nothing turns */
    day_boat(&day, from + 0.94 * ui_strip_page_m(&strip), DAY_STANDOFF_M);
    draw(80, 24);
    cr_expect_float_eq(day.ui.page_from_m, from, 1e-9);
    day_boat(&day, from + 0.96 * ui_strip_page_m(&strip), DAY_STANDOFF_M);
    draw(80, 24);
    turned = day.ui.page_from_m;
    cr_expect_gt(turned, from);
    /* a boat that swings by 8 m about the turning point stays on the new page */
    for (int i = 0; i < 50; i++) {
        double was = day.ui.page_from_m;

        day_boat(&day, from + 0.95 * ui_strip_page_m(&strip) + 8 * sin(i), DAY_STANDOFF_M);
        draw(80, 24);
        turns += fabs(day.ui.page_from_m - was) > 1e-9;
    }
    cr_expect_eq(turns, 0);
}

Test(strip, boat_is_on_its_page_wherever_it_is_on_the_beat)
{
    for (size_t s = 0; s < SIZES; s++)
        for (double along = 0; along <= DAY_BEAT_M; along += 3.7) {
            struct ui_strip strip;
            int row = -1, col;

            day_boat(&day, along, DAY_STANDOFF_M + 1);
            draw(sizes[s][0], sizes[s][1]);
            col = find(0x25b2, 7, day.canvas.h, &row);
            cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
            cr_assert_lt(fabs(col + 0.5 - strip.x - (along - strip.from_m) / strip.m_per_col), 1,
                         "along %.1f at %d", along, sizes[s][0]);
        }
}

Test(strip, page_stays_without_a_fix_and_after_a_resize)
{
    double from;
    struct ui_strip strip;

    day_boat(&day, 300, DAY_STANDOFF_M);
    draw(80, 24);
    from = day.ui.page_from_m;
    day_no_fix(&day, LW_FIX_STALE, 7000);
    draw(80, 24);
    cr_expect_float_eq(day.ui.page_from_m, from, 1e-9);
    cr_expect_eq(row_of(0x25b2, 0), -1, "no boat is drawn where it was");
    day_boat(&day, 300, DAY_STANDOFF_M);
    draw(200, 60);
    cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
    cr_expect(300 > strip.from_m && 300 < strip.from_m + ui_strip_page_m(&strip));
}

Test(strip, boat_beyond_the_picture_waits_at_its_rim_and_says_so)
{
    char text[512];
    int row = -1;

    day_boat(&day, 200, DAY_STANDOFF_M + 200);
    draw(80, 24);
    cr_expect_geq(find(0x25b2, 7, 24, &row), 0);
    cr_expect_eq(row, 21);
    lw_canvas_row(&day.canvas, row, text, sizeof text);
    cr_expect(strstr(text, "656 ft out, beyond this page"), "%s", text);
}

Test(strip, dwell_is_a_bracket_about_its_place)
{
    char text[512];
    const char *open, *close;

    day_boat(&day, 190, DAY_STANDOFF_M);
    day_mark(&day, 1, LW_MARK_BITE, 0, 190, 0);
    day_at(&day, 2);
    day.canvas.ascii = true;
    draw(80, 24);
    lw_canvas_row(&day.canvas, 22, text, sizeof text);
    open = strchr(text, '[');
    close = strchr(text, ']');
    cr_assert(open && close && strchr(open, 'A') && strchr(open, 'A') < close, "%s", text);
    /* 2 x 20 m, the place radius */
    {
        struct ui_strip strip;

        cr_assert_eq(ui_strip_on(&strip, &day.view, &day.canvas, day.ui.page_from_m), 0);
        cr_expect_lt(fabs((double)(close - open) - 40 / strip.m_per_col), 2);
    }
}

Test(strip, hold_line_on_the_flat_is_up)
{
    day.plan->params.hold_deep = false;
    day_boat(&day, 190, -DAY_STANDOFF_M);
    draw(80, 24);
    {
        int row = -1, edge = row_of(0x2550, 7);

        find(0x25b2, 7, 24, &row);
        cr_expect_lt(row, edge);
    }
}

Test(strip, the_axis_says_depths_where_the_map_knows_them)
{
    char *text;

    day_end(&day);
    day_begin(&day, true);
    day_boat(&day, 190, DAY_STANDOFF_M);
    text = day_draw(&day, 120, 40);
    /* 2.74 m on the edge and 0.26 m a metre outward: 18 ft at 35 ft off, 12 ft at 10 ft off */
    cr_expect(strstr(text, " 9 ft│"));
    cr_expect(strstr(text, "18 ft│"));
    cr_expect(strstr(text, "│off 35 ft"));
    cr_expect(strstr(text, "│up 20 ft"));
    cr_expect(strstr(text, "│off 10 ft"));
    free(text);
}
