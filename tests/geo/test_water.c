/* Ways over water against a taut string round a disk (closed form) and a visibility graph of real
 * shores; the grid's own rules by brute force. */
#include "lipwalk/geo/span.h"
#include "lipwalk/geo/water.h"
#include "visible.h"

static uint64_t seed;

static double chance(void) /* Knuth's MMIX generator, from memory */
{
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(seed >> 11) * 0x1p-53;
}

/* Open water of cells of cell_m over -half_m .. half_m, with a random start of the grid. */
static void open_square(struct lw_water *w, double half_m, double cell_m)
{
    struct lw_error err = {""};
    int n = (int)(2 * half_m / cell_m) + 1;

    cr_assert_eq(lw_water_init(w, -half_m + cell_m * chance(), -half_m + cell_m * chance(), cell_m,
                               n, n, &err),
                 0);
    memset(w->open, 1, (size_t)n * (size_t)n);
}

static struct lw_en middle(const struct lw_water *w, int i, int j)
{
    return (struct lw_en){w->e0_m + i * w->cell_m, w->n0_m + j * w->cell_m};
}

static void close_disk(struct lw_water *w, double radius_m)
{
    for (int j = 0; j < w->ny; j++)
        for (int i = 0; i < w->nx; i++) {
            struct lw_en at = middle(w, i, j);

            if (hypot(at.e_m, at.n_m) < radius_m)
                w->open[j * w->nx + i] = 0;
        }
}

/* Two tangents and the arc between them, or the straight line where the disk is not in the way. */
static double taut(struct lw_en a, struct lw_en b, double r)
{
    double p = hypot(a.e_m, a.n_m), q = hypot(b.e_m, b.n_m), ab = lw_en_distance(a, b);
    double angle = acos(fmax(-1, fmin(1, (p * p + q * q - ab * ab) / (2 * p * q))));
    double arc = angle - acos(r / p) - acos(r / q);

    return arc <= 0 ? ab : sqrt(p * p - r * r) + sqrt(q * q - r * r) + r * arc;
}

static double way(const struct lw_water *w, struct lw_en a, struct lw_en b)
{
    struct lw_line line;
    struct lw_error err = {""};
    double length_m;

    cr_assert_eq(lw_water_way(w, a, b, 0, &line, &length_m, &err), 0, "%s", err.text);
    cr_assert_eq(lw_en_distance(line.p[0], a), 0);
    cr_assert_eq(lw_en_distance(line.p[line.n - 1], b), 0);
    for (size_t i = 0; i + 1 < line.n; i++)
        cr_assert(lw_water_sees(w, line.p[i], line.p[i + 1]));
    lw_line_free(&line);
    return length_m;
}

struct errors {
    double sum, worst;
    size_t n;
};

static void note(struct errors *e, double length_m, double true_m)
{
    double share = fabs(length_m / true_m - 1);

    e->sum += share;
    e->worst = fmax(e->worst, share);
    e->n++;
}

Test(water, goes_taut_round_a_disk)
{
    struct errors e = {0}, f = {0};

    cr_assert_float_eq(taut((struct lw_en){-400, 0}, (struct lw_en){400, 0}, 200), 902.2598, 1e-4);
    seed = 20261127;
    for (int round = 0; round < 12; round++) {
        struct lw_water w;
        struct lw_error err = {""};
        float *field;

        open_square(&w, 160, 2);
        close_disk(&w, 50);
        field = malloc((size_t)w.nx * (size_t)w.ny * sizeof *field);
        for (int k = 0; k < 8; k++) {
            double turn = 2 * M_PI * chance(), p = 54 + 90 * chance(), q = 54 + 90 * chance();
            double other = turn + M_PI * (0.6 + 0.8 * chance());
            struct lw_en a = {p * cos(turn), p * sin(turn)}, b = {q * cos(other), q * sin(other)};

            if (taut(a, b, 50) > lw_en_distance(a, b)) {
                note(&e, way(&w, a, b), taut(a, b, 50));
                cr_assert_float_eq(way(&w, b, a), way(&w, a, b), 0.005 * way(&w, a, b));
            }
            if (k)
                continue;
            cr_assert_eq(lw_water_field(&w, a, 0, field, &err), 0);
            for (int j = 0; j < w.ny; j += 3)
                for (int i = 0; i < w.nx; i += 3) {
                    struct lw_en there = middle(&w, i, j);

                    if (!w.open[j * w.nx + i]) {
                        cr_assert(isnan(field[j * w.nx + i]));
                        continue;
                    }
                    if (lw_en_distance(a, there) > 20)
                        note(&f, (double)field[j * w.nx + i], taut(a, there, 50));
                }
        }
        free(field);
        lw_water_free(&w);
    }
    cr_log_info(
        "disk: ways %zu, mean %.3f %%, worst %.3f %%; field %zu, mean %.3f %%, worst %.3f %%", e.n,
        100 * e.sum / (double)e.n, 100 * e.worst, f.n, 100 * f.sum / (double)f.n, 100 * f.worst);
    cr_assert_gt(e.n, 50);
    cr_assert_lt(e.sum / (double)e.n, 0.003);
    cr_assert_lt(e.worst, 0.01);
    cr_assert_lt(f.sum / (double)f.n, 0.01);
}

/* Round an island in a real shore (a deep basin's contour is taken as one), random pairs. */
static void real(const char *lake, double hole_m, size_t pairs, struct errors *e)
{
    struct visible v = {0};
    struct lw_water w;
    struct lw_error err = {""};
    struct lw_span box;

    visible_open(&v, lake, 0, hole_m);
    box = lw_span_of(&v.outer);
    cr_assert_eq(lw_water_init(&w, box.e_min - 4, box.n_min - 4, 2,
                               (int)((box.e_max - box.e_min) / 2) + 5,
                               (int)((box.n_max - box.n_min) / 2) + 5, &err),
                 0);
    for (int j = 0; j < w.ny; j++)
        for (int i = 0; i < w.nx; i++)
            w.open[j * w.nx + i] = visible_inside(&v, middle(&w, i, j));
    for (size_t n = 0; n < pairs;) {
        struct lw_en a = {box.e_min + (box.e_max - box.e_min) * chance(),
                          box.n_min + (box.n_max - box.n_min) * chance()};
        struct lw_en b = {box.e_min + (box.e_max - box.e_min) * chance(),
                          box.n_min + (box.n_max - box.n_min) * chance()};
        double true_m;

        if (!visible_inside(&v, a) || !visible_inside(&v, b) || visible_sees(&v, a, b) ||
            !lw_water_open(&w, a) || !lw_water_open(&w, b))
            continue;
        true_m = visible_way(&v, a, b);
        note(e, way(&w, a, b), true_m);
        n++;
    }
    lw_water_free(&w);
    visible_close(&v);
}

Test(water, goes_as_short_as_a_visibility_graph_on_real_lakes, .timeout = 120)
{
    struct errors e = {0};

    seed = 7;
    real("SP", 9.144, 30, &e);
    real("CR", 12.192, 30, &e);
    cr_log_info("real lakes: ways %zu, mean %.3f %%, worst %.3f %%", e.n, 100 * e.sum / (double)e.n,
                100 * e.worst);
    cr_assert_lt(e.sum / (double)e.n, 0.003, "mean %g", e.sum / (double)e.n);
    cr_assert_lt(e.worst, 0.01, "worst %g", e.worst);
}

/* What sight promises, by closely spaced samples: no line goes over a closed middle's keep along a
 * row or column, or between two closed ones that touch. */
Test(water, sees_over_nothing_closed)
{
    struct lw_error err = {""};
    struct lw_water w;
    size_t seen = 0, hidden = 0;

    seed = 99;
    cr_assert_eq(lw_water_init(&w, 0, 0, 1, 30, 30, &err), 0);
    for (int i = 0; i < 900; i++)
        w.open[i] = chance() < 0.85;
    for (int round = 0; round < 4000; round++) {
        struct lw_en a = {29 * chance(), 29 * chance()}, b = {29 * chance(), 29 * chance()};
        bool sees = lw_water_open(&w, a) && lw_water_open(&w, b) && lw_water_sees(&w, a, b);

        cr_assert_eq(lw_water_sees(&w, a, b), lw_water_sees(&w, b, a));
        hidden += !sees;
        if (!sees)
            continue;
        seen++;
        for (double t = 0; t <= 1;
             t += 0.001) { /* an inner disc of a closed cell is never crossed */
            struct lw_en p = lw_en_between(a, b, t);
            int i = (int)lround(p.e_m), j = (int)lround(p.n_m);

            cr_assert(w.open[j * 30 + i] || hypot(p.e_m - i, p.n_m - j) > 0.3 / sqrt(2) - 1e-3);
        }
    }
    cr_assert_gt(seen, 300);
    cr_assert_gt(hidden, 300);
    lw_water_free(&w);
}

Test(water, does_not_slip_between_closed_cells_that_touch)
{
    struct lw_error err = {""};
    struct lw_water w;
    struct lw_line line;
    double length_m;

    for (int falling = 0; falling < 2; falling++) { /* a wall of cells that touch at corners only */
        cr_assert_eq(lw_water_init(&w, 0, 0, 2, 20, 20, &err), 0);
        memset(w.open, 1, 400);
        for (int i = 0; i < 20; i++)
            w.open[(falling ? 19 - i : i) * 20 + i] = 0;
        for (int i = 1; i < 19; i++) {
            struct lw_en a = {2 * i, falling ? 0.0 : 38}, b = {2 * i, falling ? 38 : 0.0};

            cr_assert_not(lw_water_sees(&w, a, b), "column %d", i);
            cr_assert_eq(lw_water_way(&w, a, b, 0, &line, &length_m, &err), 1);
            cr_assert_eq(line.n, 0);
            cr_assert(isnan(length_m));
        }
        lw_water_free(&w);
    }
}

Test(water, moves_ends_to_open_water_near_by)
{
    struct lw_error err = {""};
    struct lw_water w;
    struct lw_line line;
    struct lw_en on_land = {3, 40}, at;
    double length_m;
    float field[50 * 50];

    cr_assert_eq(lw_water_init(&w, 0, 0, 2, 50, 50, &err), 0);
    for (int i = 0; i < 2500; i++)
        w.open[i] = i % 50 >= 4; /* land to the west, up to 7 m */
    cr_assert(lw_water_nearest(&w, on_land, 6, &at));
    cr_assert_float_eq(at.e_m, 8, 1e-9);
    cr_assert_float_eq(at.n_m, 40, 1e-9);
    cr_assert_not(lw_water_nearest(&w, on_land, 4, &at));
    cr_assert_eq(lw_water_way(&w, on_land, (struct lw_en){60, 40}, 6, &line, &length_m, &err), 0);
    cr_assert_float_eq(length_m, 52, 1e-9);
    lw_line_free(&line);
    cr_assert_eq(lw_water_way(&w, on_land, (struct lw_en){60, 40}, 4, &line, &length_m, &err), 1);
    cr_assert_eq(lw_water_field(&w, on_land, 4, field, &err), 1);
    cr_assert_eq(lw_water_field(&w, on_land, 6, field, &err), 0);
    cr_assert_float_eq(field[20 * 50 + 30], 52, 0.01);
    lw_water_free(&w);
    cr_assert_eq(lw_water_init(&w, 0, 0, 2, 0, 5, &err), -1);
}

/* Every pair of middles by brute force. */
Test(water, keeps_clear_of_what_is_closed)
{
    struct lw_error err = {""};
    struct lw_water w, was;

    seed = 3;
    for (double clearance = 0; clearance < 9; clearance += 1.7) {
        cr_assert_eq(lw_water_init(&w, 0, 0, 1.5, 40, 33, &err), 0);
        for (int i = 0; i < 40 * 33; i++)
            w.open[i] = chance() < 0.97;
        was = w;
        was.open = malloc(40 * 33);
        memcpy(was.open, w.open, 40 * 33);
        cr_assert_eq(lw_water_shrink(&w, clearance, &err), 0);
        for (int i = 0; i < 40 * 33; i++) {
            bool open = was.open[i];

            for (int k = 0; k < 40 * 33; k++)
                open &= was.open[k] ||
                        1.5 * hypot(i % 40 - k % 40, i / 40 - k / 40) >= clearance - 1e-9;
            cr_assert_eq(w.open[i], open, "cell %d at %g", i, clearance);
        }
        lw_water_free(&w);
        free(was.open);
    }
}
