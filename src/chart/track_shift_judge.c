/* How sure a fitted shift is, and whether it is worth proposing. */
#include <math.h>
#include <string.h>

#include "track_shift_parts.h"

#define BLOCKS_MIN  15
#define BLOCK_MAX_M 200.0
/* clear: sigmas that the shift must measure, the shortest worth a question, how much nearer sounder
 * and map must come, and chi-square of two more unknowns at 0.1 %. Common practice, no source. */
#define CLEAR_SIGMAS 3.0
#define CLEAR_M      2.0
#define CLEAR_EDGE_M 3.0 /* so near the reach the best may lie beyond it */
#define CLEAR_BETTER 0.9
#define CLEAR_CHI2   13.8

/* What a block gives to the normal equations and to their right side. */
struct block {
    double m[3][3], b[3];
    bool any;
};

static void add_place(const struct lw_shift *s, size_t i, struct block *block)
{
    const struct lw_shift_place *place = &s->place[i];
    double w = lw_shift_weight(s, i);

    if (!(w > 0))
        return;
    block->any = true;
    for (int k = 0; k < 3; k++)
        block->b[k] += w * place->row[k] * place->left_m;
    /* beyond Huber's bound the pull no longer grows: such a place holds nothing in its place */
    if (fabs(place->left_m) <= LW_SHIFT_HUBER * place->sigma_m * s->scale)
        lw_shift_add(block->m, place->row, w);
}

/* Adds the square of what leaving the block out would change in the fit. */
static size_t leave_out(double all[3][3], const struct block *block, double cov[3][3])
{
    double m[3][3], inverse[3][3], change[3];

    if (!block->any)
        return 0;
    for (int k = 0; k < 3; k++)
        for (int l = 0; l < 3; l++)
            m[k][l] = all[k][l] - block->m[k][l];
    if (lw_shift_invert(m, inverse))
        return 0;
    for (int k = 0; k < 3; k++)
        change[k] = inverse[k][0] * block->b[0] + inverse[k][1] * block->b[1] +
                    inverse[k][2] * block->b[2];
    lw_shift_add(cov, change, 1);
    return 1;
}

/* The jackknife over blocks of block_m of way (Miller 1974, Biometrika 61:1), with the bound's own
 * share. Returns the number of blocks; 0: the equations have no answer. */
static size_t jackknife(const struct lw_shift *s, double block_m, double cov[3][3])
{
    struct block all = {0}, block = {0};
    double inverse[3][3], bound = lw_shift_bound(s), begin_m = s->p[0].along_m;
    size_t blocks = 0;

    for (size_t i = 0; i < s->n; i++)
        add_place(s, i, &all);
    all.m[0][0] += bound;
    all.m[1][1] += bound;
    if (lw_shift_invert(all.m, inverse))
        return 0;
    memset(cov, 0, 9 * sizeof cov[0][0]);
    for (size_t i = 0; i < s->n; i++) {
        if (s->p[i].along_m - begin_m >= block_m) {
            blocks += leave_out(all.m, &block, cov);
            memset(&block, 0, sizeof block);
            begin_m = s->p[i].along_m;
        }
        add_place(s, i, &block);
    }
    blocks += leave_out(all.m, &block, cov);
    for (int k = 0; k < 3; k++)
        for (int l = 0; l < 3; l++)
            cov[k][l] *= (double)(blocks - 1) / (double)blocks;
    for (int k = 0; k < 2; k++)
        lw_shift_add(cov, inverse[k], bound * bound * LW_SHIFT_REACH_M * LW_SHIFT_REACH_M);
    return blocks;
}

/* One sigma along the longer axis of the shift's ellipse, and the axis's bearing. */
static double worse_of(double cov[3][3], double *bearing_deg)
{
    double mean = (cov[0][0] + cov[1][1]) / 2, half = (cov[0][0] - cov[1][1]) / 2;
    double turn = atan2(cov[0][1], half) / 2; /* from east, counter-clockwise */

    *bearing_deg = fmod(450 - turn * 180 / M_PI, 180);
    return fmin(LW_SHIFT_REACH_M, sqrt(mean + hypot(half, cov[0][1])));
}

/* Errors of map and receiver may hang together over more than a block: the length of block that
 * makes the fit least sure counts, while there are enough blocks to tell. Returns how many. */
static size_t how_sure(const struct lw_shift *s, struct lw_shift_fit *out)
{
    double cov[3][3], deg, sigma_m;
    size_t independent = 0;

    out->sigma_m = LW_SHIFT_REACH_M;
    for (double block_m = LW_TRACK_BLOCK_M; block_m < BLOCK_MAX_M; block_m *= 2) {
        size_t blocks = jackknife(s, block_m, cov);

        if (blocks < BLOCKS_MIN)
            break;
        sigma_m = worse_of(cov, &deg);
        if (independent == 0 || sigma_m > out->sigma_m) {
            out->sigma_m = sigma_m;
            out->worse_deg = deg;
            independent = blocks;
        }
    }
    return independent;
}

/* The rms of what the level leaves, before and after, over the places that count in both. */
static void compare(const struct lw_shift *s, const double *before_m, struct lw_shift_fit *out)
{
    double level, sum[2] = {0};
    size_t n = 0;

    for (size_t i = 0; i < s->n; i++)
        if (lw_shift_weight(s, i) > 0 && !isnan(before_m[i]))
            s->work[n++] = before_m[i];
    level = lw_track_median(s->work, n);
    for (size_t i = 0; i < s->n; i++)
        if (lw_shift_weight(s, i) > 0 && !isnan(before_m[i])) {
            sum[0] += (before_m[i] - level) * (before_m[i] - level);
            sum[1] += s->place[i].left_m * s->place[i].left_m;
        }
    out->places = n;
    out->rms_before_m = sqrt(sum[0] / (double)n);
    out->rms_after_m = sqrt(sum[1] / (double)n);
}

static bool is_clear(const struct lw_shift_fit *fit, size_t independent)
{
    double length = hypot(fit->shift.e_m, fit->shift.n_m);
    double gain = 2 * log(fit->rms_before_m / fmax(fit->rms_after_m, 1e-3));

    return length >= CLEAR_M && length >= CLEAR_SIGMAS * fit->sigma_m &&
           length < LW_SHIFT_REACH_M - CLEAR_EDGE_M &&
           fit->rms_after_m < CLEAR_BETTER * fit->rms_before_m &&
           (double)independent * gain > CLEAR_CHI2;
}

int lw_shift_judge(const struct lw_shift *s, const double *before_m, struct lw_shift_fit *out)
{
    size_t independent = how_sure(s, out);

    out->shift = (struct lw_en){s->x[0], s->x[1]};
    out->stage_m = s->x[2];
    compare(s, before_m, out);
    out->clear = is_clear(out, independent);
    return out->places < LW_SHIFT_PLACES_MIN ? -1 : 0;
}
