/* Fall lines, and the broken stick between contours. */
#include "lip_profile.h"

#include <math.h>

#define MAP_ERROR_M 2.0 /* of a mapped contour across itself, as everywhere in lipwalk */

/* One way from the place: `sign` +1 toward the deep. Returns the samples taken into z[], p[]. */
static int walk(const struct lw_chart *chart, const struct lw_lip_field *field, double step_m,
                struct lw_en at, int sign, double *z, struct lw_en *p, bool *shore)
{
    struct lw_en way = lw_lip_fall(field, at);
    double far = hypot(way.e_m, way.n_m), best = lw_chart_depth(chart, at);
    int n = 0;

    if (far < 1e-6)
        return 0;
    way = (struct lw_en){sign * way.e_m / far, sign * way.n_m / far};
    while (n < LW_LIP_SIDE) {
        struct lw_en to = {at.e_m + step_m * way.e_m, at.n_m + step_m * way.n_m}, fall;
        double depth_m = lw_chart_depth(chart, to), turn;

        if (isnan(depth_m)) {
            *shore = true;
            break;
        }
        /* A top or a hole: the way goes on on the other side of it. Small dips are noise. */
        if (sign * (depth_m - best) < -0.1)
            break;
        best = sign > 0 ? fmax(best, depth_m) : fmin(best, depth_m);
        z[n] = depth_m;
        p[n++] = to;
        at = to;
        fall = lw_lip_fall(field, at);
        far = hypot(fall.e_m, fall.n_m);
        if (far < 1e-6)
            continue;
        turn = sign * (fall.e_m * way.e_m + fall.n_m * way.n_m) / far;
        if (turn < 0.2) /* the smoothed bottom turns back here: straight on */
            continue;
        way = (struct lw_en){0.5 * way.e_m + 0.5 * sign * fall.e_m / far,
                             0.5 * way.n_m + 0.5 * sign * fall.n_m / far};
        far = hypot(way.e_m, way.n_m);
        way.e_m /= far;
        way.n_m /= far;
    }
    return n;
}

void lw_lip_profile_of(const struct lw_chart *chart, const struct lw_lip_field *field,
                       double step_m, struct lw_en at, struct lw_lip_profile *out)
{
    double z[LW_LIP_SIDE];
    struct lw_en p[LW_LIP_SIDE];
    bool shore = false;

    out->step_m = step_m;
    out->shore = false;
    out->up = walk(chart, field, step_m, at, -1, z, p, &out->shore);
    for (int k = 0; k < out->up; k++) {
        out->depth_m[out->up - 1 - k] = z[k];
        out->at[out->up - 1 - k] = p[k];
    }
    out->depth_m[out->up] = lw_chart_depth(chart, at);
    out->at[out->up] = at;
    out->down = walk(chart, field, step_m, at, 1, z, p, &shore);
    for (int k = 0; k < out->down; k++) {
        out->depth_m[out->up + 1 + k] = z[k];
        out->at[out->up + 1 + k] = p[k];
    }
}

static double place_in(const struct lw_lip_profile *p, double s_m, int *k)
{
    double x = fmin(fmax(s_m / p->step_m + p->up, 0), p->up + p->down);

    *k = (int)fmin(floor(x), fmax(p->up + p->down - 1, 0));
    return x - *k;
}

double lw_lip_profile_depth(const struct lw_lip_profile *p, double s_m)
{
    int k;
    double t = place_in(p, s_m, &k);

    return t > 0 ? p->depth_m[k] + t * (p->depth_m[k + 1] - p->depth_m[k]) : p->depth_m[k];
}

struct lw_en lw_lip_profile_at(const struct lw_lip_profile *p, double s_m)
{
    int k;
    double t = place_in(p, s_m, &k);

    return t > 0 ? lw_en_between(p->at[k], p->at[k + 1], t) : p->at[k];
}

#define DOUBT     0.5
#define CROSSINGS 16

struct crossing {
    double s_m, depth_m;
};

/* Where the profile crosses the mapped depths on its way down; the shore counts as the shallowest
 * of them. */
static int cross(const struct lw_lip_profile *p, const struct lw_lip_scale *scale,
                 struct crossing *out)
{
    int n = 0, last = p->up + p->down;
    size_t level = 0;

    while (level < scale->levels && scale->level[level] < p->depth_m[0] - 1e-3)
        level++;
    if (p->shore && level == 1)
        level = 0;
    if (p->shore && level == 0)
        out[n++] = (struct crossing){-p->up * p->step_m, scale->level[level++]};
    else if (!p->shore && p->up < LW_LIP_SIDE && level > 0)
        /* a top: it does not reach the next contour up, or that would have been drawn */
        out[n++] = (struct crossing){-p->up * p->step_m, scale->level[level - 1]};
    for (int k = 0; k < last && level < scale->levels; k++)
        while (level < scale->levels && p->depth_m[k + 1] >= scale->level[level] &&
               p->depth_m[k + 1] > p->depth_m[k]) {
            double t = (scale->level[level] - p->depth_m[k]) / (p->depth_m[k + 1] - p->depth_m[k]);

            if (n == CROSSINGS) { /* the ones about the place are wanted */
                for (int i = 1; i < n; i++)
                    out[i - 1] = out[i];
                n--;
            }
            out[n++] = (struct crossing){(k + fmin(fmax(t, 0), 1) - p->up) * p->step_m,
                                         scale->level[level++]};
            if (out[n - 1].s_m > 0 && n >= 5 && out[n - 4].s_m > 0)
                return n;
        }
    return n;
}

static double slope_of(struct crossing a, struct crossing b)
{
    return (b.depth_m - a.depth_m) / fmax(b.s_m - a.s_m, 0.1);
}

/* The bend between crossings i and i + 1. */
static struct lw_lip_stick between(const struct crossing *c, int n, int i)
{
    struct lw_lip_stick out = {.s_m = NAN, .room_m = c[i + 1].s_m - c[i].s_m};
    double gap = c[i + 1].depth_m - c[i].depth_m, extra, wobble;

    if (i + 2 >= n)
        return out;
    out.steep = slope_of(c[i + 1], c[i + 2]);
    if (i + 3 < n && slope_of(c[i + 2], c[i + 3]) > 0.5 * out.steep) /* the break goes on */
        out.steep = slope_of(c[i + 1], c[i + 3]);
    out.guessed = i == 0;
    if (i == 0) {
        /* No slope above is known but that it is gentler: on the line of the break, somewhere
         * between the two depths. */
        double least = c[1].s_m - gap / out.steep, most = c[1].s_m;

        least = fmax(least, c[0].s_m);
        out.s_m = 0.5 * (least + most);
        out.depth_m = c[1].depth_m - out.steep * (c[1].s_m - out.s_m);
        out.top = (out.depth_m - c[0].depth_m) / fmax(out.s_m - c[0].s_m, 0.1);
        out.sigma_m = hypot((most - least) / sqrt(12), MAP_ERROR_M);
        return out;
    }
    out.top = slope_of(c[i - 1], c[i]);
    if (out.steep - out.top < 1e-4)
        return out;
    /* c[i].depth + top (s - s_i) = c[i+1].depth - steep (s_i+1 - s) */
    out.s_m = (out.steep * c[i + 1].s_m - out.top * c[i].s_m - gap) / (out.steep - out.top);
    out.depth_m = c[i].depth_m + out.top * (out.s_m - c[i].s_m);
    /* The slopes are off by the contours' error over their spacing (neighbours err alike: half of
     * it), and the flat need not go on
     * as it was: a quarter of its slope is taken as unknown. */
    extra = out.steep * (c[i + 1].s_m - out.s_m) * 0.7 * MAP_ERROR_M /
            fmax(c[i + 2].s_m - c[i + 1].s_m, 0.1);
    wobble = 0.25 * out.top * fabs(out.s_m - c[i].s_m);
    out.sigma_m = hypot(MAP_ERROR_M, hypot(extra, wobble) / (out.steep - out.top));
    return out;
}

struct lw_lip_stick lw_lip_stick_of(const struct lw_lip_profile *p,
                                    const struct lw_lip_scale *scale)
{
    struct lw_lip_stick one[3], best = {.s_m = NAN};
    struct crossing c[CROSSINGS];
    int n = cross(p, scale, c), here = 0, m = 0;
    double doubt = 0;

    while (here < n && c[here].s_m < 0)
        here++;
    for (int i = here - 2; i <= here; i++) {
        double slack;

        if (i < 0 || i + 1 >= n)
            continue;
        one[m] = between(c, n, i);
        slack = 0.1 * one[m].room_m + 0.5;
        if (isnan(one[m].s_m) || one[m].s_m < c[i].s_m - slack || one[m].s_m > c[i + 1].s_m + slack)
            continue;
        if (isnan(best.s_m) || one[m].steep - one[m].top > best.steep - best.top)
            best = one[m];
        m++;
    }
    /* Another interval that shows nearly as much of a bend might be the true one. */
    for (int k = 0; k < m; k++) {
        double rival = (one[k].steep - one[k].top) / (best.steep - best.top);

        doubt = fmax(doubt,
                     DOUBT * fabs(one[k].s_m - best.s_m) * fmin(fmax((rival - 0.5) / 0.5, 0), 1));
    }
    best.sigma_m = hypot(best.sigma_m, doubt);
    return best;
}
