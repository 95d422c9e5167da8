/* The multigrid solver against the plain normal equations, and against planes that it must keep. */
#include "lw_test.h"

#include <math.h>

#include "../../src/chart/spline_level.h"
#include "chart/analytic.h"

#define NX 13
#define NY 11
#define N  (NX * NY)

/* Adds weight * c c' to the dense matrix. */
static void add_term(double a[N][N], const int *at, const double *c, int n, double weight)
{
    for (int i = 0; i < n; i++)
        for (int k = 0; k < n; k++)
            a[at[i]][at[k]] += weight * c[i] * c[k];
}

/* The energy written out term by term, and Gauss elimination with row choice. */
static void solve_dense(const struct lw_spline *in, double *z)
{
    static double a[N][N];
    double b[N] = {0}, bend = in->beta_m2 / (in->cell_m * in->cell_m);
    double tense = in->beta_m2 / (in->ell_m * in->ell_m);
    const double second[] = {1, -2, 1}, mixed[] = {1, -1, -1, 1}, first[] = {1, -1};

    memset(a, 0, sizeof a);
    for (int i = 0; i < NY; i++)
        for (int j = 0; j < NX; j++) {
            int at = i * NX + j;

            if (j > 0 && j < NX - 1)
                add_term(a, (int[]){at - 1, at, at + 1}, second, 3, bend);
            if (i > 0 && i < NY - 1)
                add_term(a, (int[]){at - NX, at, at + NX}, second, 3, bend);
            if (i < NY - 1 && j < NX - 1)
                add_term(a, (int[]){at, at + 1, at + NX, at + NX + 1}, mixed, 4, 2 * bend);
            if (j < NX - 1)
                add_term(a, (int[]){at, at + 1}, first, 2, tense);
            if (i < NY - 1)
                add_term(a, (int[]){at, at + NX}, first, 2, tense);
        }
    for (size_t k = 0; k < in->points; k++) {
        const struct lw_spline_point *p = &in->point[k];
        int j = (int)p->x, i = (int)p->y, at = i * NX + j;
        double x = p->x - j, y = p->y - i;
        const int node[] = {at, at + 1, at + NX, at + NX + 1};
        const double c[] = {(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y};

        add_term(a, node, c, 4, p->weight);
        for (int m = 0; m < 4; m++)
            b[node[m]] += p->weight * c[m] * p->value;
    }
    for (int col = 0; col < N; col++) {
        int best = col;

        for (int r = col + 1; r < N; r++)
            if (fabs(a[r][col]) > fabs(a[best][col]))
                best = r;
        for (int k = 0; k < N; k++) {
            double t = a[col][k];

            a[col][k] = a[best][k];
            a[best][k] = t;
        }
        {
            double t = b[col];

            b[col] = b[best];
            b[best] = t;
        }
        for (int r = col + 1; r < N; r++) {
            double f = a[r][col] / a[col][col];

            for (int k = col; k < N; k++)
                a[r][k] -= f * a[col][k];
            b[r] -= f * b[col];
        }
    }
    for (int r = N - 1; r >= 0; r--) {
        z[r] = b[r];
        for (int k = r + 1; k < N; k++)
            z[r] -= a[r][k] * z[k];
        z[r] /= a[r][r];
    }
}

Test(spline, same_as_elimination)
{
    struct lw_spline_point point[40];
    struct lw_spline in = {.nx = NX,
                           .ny = NY,
                           .cell_m = 2,
                           .beta_m2 = 0.1,
                           .ell_m = 5,
                           .point = point,
                           .points = 40,
                           .tolerance = 1e-6,
                           .iterations_max = 60};
    double dense[N], residual;
    float ours[N];
    unsigned seed = 7;

    for (int k = 0; k < 40; k++) { /* a fixed scatter from a linear congruence */
        seed = seed * 1103515245u + 12345u;
        point[k].x = (seed >> 16 & 0x3fff) / 16384.0 * (NX - 1.01);
        seed = seed * 1103515245u + 12345u;
        point[k].y = (seed >> 16 & 0x3fff) / 16384.0 * (NY - 1.01);
        point[k].value = (float)(3 + sin(point[k].x) + point[k].y / 3);
        point[k].weight = 0.5f + (float)(k % 3);
    }
    solve_dense(&in, dense);
    cr_assert_eq(lw_spline_solve(&in, ours, &residual, NULL), 0);
    cr_assert_lt(residual, 1e-5);
    for (int k = 0; k < N; k++)
        cr_assert_float_eq(ours[k], dense[k], 1e-4);
}

Test(spline, large_grid_converges_in_few_iterations)
{
    enum { W = 400, H = 300, ROWS = 11 };
    struct lw_spline_point *point = calloc(ROWS * W, sizeof *point);
    float *node = calloc(W * H, sizeof *node);
    double residual, worst = 0;
    struct lw_spline in = {.nx = W,
                           .ny = H,
                           .cell_m = 2,
                           .beta_m2 = 0.1,
                           .ell_m = 1e6, /* no tension: a plane costs nothing and must be kept */
                           .point = point,
                           .points = ROWS * W,
                           .tolerance = 1e-3,
                           .iterations_max = 15};

    for (int r = 0; r < ROWS; r++)
        for (int j = 0; j < W; j++)
            point[r * W + j] = (struct lw_spline_point){
                j * 0.9975, r * 29.9, (float)(1 + 0.02 * j * 0.9975 + 0.03 * r * 29.9), 1};
    cr_assert_eq(lw_spline_solve(&in, node, &residual, NULL), 0);
    cr_assert_lt(residual, 1e-3);
    for (int i = 0; i < H; i++)
        for (int j = 0; j < W; j++)
            worst = fmax(worst, fabs(node[i * W + j] - (1 + 0.02 * j + 0.03 * i)));
    cr_assert_lt(worst, 0.01, "%g", worst);
    free(point);
    free(node);
}

Test(spline, points_outside_do_not_count)
{
    struct lw_spline_point point[] = {{1, 1, 5, 1}, {-3, 2, 900, 1}, {2, 99, 900, 1}};
    struct lw_spline in = {.nx = 5,
                           .ny = 5,
                           .cell_m = 2,
                           .beta_m2 = 0.1,
                           .ell_m = 5,
                           .point = point,
                           .points = 3,
                           .tolerance = 1e-6,
                           .iterations_max = 40};
    float node[25];

    cr_assert_eq(lw_spline_solve(&in, node, NULL, NULL), 0);
    for (int k = 0; k < 25; k++)
        cr_assert_float_eq(node[k], 5, 1e-4);
}

/* A roof: two planes that meet along a slanting line, known on lines 20 m apart. */
static double roof(double x, double y)
{
    return 0.2 * fmax(0, x - 40 - 0.3 * y);
}

static double roof_error(int reweights, int threads, float *node)
{
    enum { W = 220, H = 200 };
    static struct lw_spline_point point[8000];
    double sum = 0;
    struct lw_spline in = {.nx = W,
                           .ny = H,
                           .cell_m = 1,
                           .beta_m2 = 1,
                           .ell_m = 100,
                           .reweights = reweights,
                           .reweights_finest = reweights > 1 ? 1 : reweights,
                           .bend_per_m = 0.004,
                           .p = 0.5,
                           .point = point,
                           .tolerance = 1e-4,
                           .iterations_max = 40,
                           .threads = threads};

    for (int i = 5; i < H; i += 20)
        for (int j = 0; j < W; j += 2)
            point[in.points++] = (struct lw_spline_point){j, i, (float)roof(j, i), 1};
    cr_assert_eq(lw_spline_solve(&in, node, NULL, NULL), 0);
    for (int i = 10; i < H - 10; i++)
        for (int j = 0; j < W; j++)
            sum += pow(node[i * W + j] - roof(j, i), 2);
    return sqrt(sum / (W * (H - 20)));
}

Test(spline, a_sharp_bend_stays_sharp_between_the_data)
{
    float *node = malloc(220 * 200 * sizeof *node);
    double smooth = roof_error(0, 1, node), sharp = roof_error(2, 1, node);

    cr_log_info("rms of a roof: %.4f smooth, %.4f reweighted", smooth, sharp);
    cr_assert_lt(sharp, 0.5 * smooth, "%g against %g", sharp, smooth);
    free(node);
}

Test(spline, threads_do_not_matter)
{
    float *one = malloc(220 * 200 * sizeof *one), *three = malloc(220 * 200 * sizeof *three);

    roof_error(2, 1, one);
    roof_error(2, 3, three);
    for (int k = 0; k < 220 * 200; k++)
        cr_assert_float_eq(one[k], three[k], 1e-6);
    free(one);
    free(three);
}

/* With weights at random the operator stays symmetric, positive, and below four of its diagonal,
 * which the smoother relies on; W = 1 is checked by elimination above. */
Test(spline, weighted_operator)
{
    struct lw_spline_point point[] = {{3.3, 4.2, 1, 2}, {8.1, 2.7, 1, 0.3f}};
    struct lw_spline in = {
        .nx = NX, .ny = NY, .cell_m = 2, .beta_m2 = 0.1, .ell_m = 5, .point = point, .points = 2};
    struct lw_level level;
    float x[N], y[N], ax[N], ay[N];
    uint64_t seed = 3;

    cr_assert_eq(lw_level_init(&level, &in, 0, NULL), 0);
    cr_assert_eq(lw_level_room(&level), 0);
    for (int k = 0; k < level.wx * level.wy; k++) {
        int row = k / level.wx, column = k % level.wx;
        double turn = 3 * analytic_uniform(&seed), a = pow(10, -3 * analytic_uniform(&seed)), b = 1;

        lw_level_weight(&level, 0, row)[column] = (float)(a * cos(turn) * cos(turn) + b * sin(turn) * sin(turn));
        lw_level_weight(&level, 1, row)[column] = (float)(a * sin(turn) * sin(turn) + b * cos(turn) * cos(turn));
        lw_level_weight(&level, 2, row)[column] = (float)((a - b) * sin(turn) * cos(turn));
        lw_level_weight(&level, 3, row)[column] = (float)analytic_uniform(&seed);
    }
    lw_level_pad(&level);
    lw_level_diagonal(&level);
    for (int trial = 0; trial < 50; trial++) {
        double xay = 0, yax = 0, xax = 0, xdx = 0;

        for (int k = 0; k < N; k++) {
            /* the shortest wave comes nearest to the bound */
            x[k] = (float)(analytic_normal(&seed) +
                           (trial % 2 ? 9 * ((k % NX + k / NX) % 2 ? 1 : -1) : 0));
            y[k] = (float)analytic_normal(&seed);
        }
        lw_level_apply(&level, x, ax);
        lw_level_apply(&level, y, ay);
        for (int k = 0; k < N; k++) {
            xay += x[k] * ay[k];
            yax += y[k] * ax[k];
            xax += x[k] * ax[k];
            xdx += x[k] * x[k] / level.inverse[k];
        }
        cr_assert_float_eq(xay, yax, 1e-4 * fabs(xdx));
        cr_assert_gt(xax, 0);
        cr_assert_lt(xax, 4 * xdx * 1.0001);
    }
    lw_level_free(&level);
}
