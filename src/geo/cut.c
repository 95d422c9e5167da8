/* Places and stretches of a line by their distance along it. */
#include <math.h>

#include "lipwalk/geo/line.h"

#define SAME_M        1e-6 /* a cut nearer than this to a vertex is that vertex */
#define MOST_VERTICES 20000000.0

static double wrap(double along_m, double length_m)
{
    double a = fmod(along_m, length_m);

    if (a < 0)
        a += length_m;
    return a < length_m ? a : 0;
}

static double clamp(double along_m, double length_m)
{
    return along_m < 0 ? 0 : along_m > length_m ? length_m : along_m;
}

struct lw_en lw_line_at(const struct lw_line *line, double along_m, double *bearing_deg)
{
    double length_m = lw_line_length(line);
    double from_m = 0, a;

    if (bearing_deg)
        *bearing_deg = NAN;
    if (line->n == 0 || isnan(along_m))
        return (struct lw_en){NAN, NAN};
    if (!(length_m > 0))
        return line->p[0];
    a = line->closed ? wrap(along_m, length_m) : clamp(along_m, length_m);
    /* Summed as in lw_line_length, so the last stretch that has a length ends at length_m. */
    for (size_t i = 0; i + 1 < line->n; i++) {
        double step_m = lw_en_distance(line->p[i], line->p[i + 1]);

        if (step_m > 0 && (a < from_m + step_m || from_m + step_m >= length_m)) {
            if (bearing_deg)
                *bearing_deg = lw_en_bearing(line->p[i], line->p[i + 1]);
            if (a >= from_m + step_m)
                return line->p[i + 1];
            return lw_en_between(line->p[i], line->p[i + 1], (a - from_m) / step_m);
        }
        from_m += step_m;
    }
    return line->p[line->n - 1];
}

double lw_line_bearing(const struct lw_line *line, double along_m, double half_m)
{
    struct lw_en a = lw_line_at(line, along_m - half_m, NULL);
    struct lw_en b = lw_line_at(line, along_m + half_m, NULL);
    double bearing_deg;

    /* The mean of the directions, each weighted by its length, is that of the chord. */
    if (lw_en_distance(a, b) > SAME_M)
        return lw_en_bearing(a, b);
    lw_line_at(line, along_m, &bearing_deg);
    return bearing_deg;
}

/* Adds the vertices with from_m < along < to_m, where `base_m` is the along of the first one. */
static int add_between(const struct lw_line *line, double base_m, double from_m, double to_m,
                       struct lw_line *out)
{
    double along_m = base_m;

    /* The first vertex of a closed line is met as its last. */
    for (size_t i = 1; i < line->n; i++) {
        along_m += lw_en_distance(line->p[i - 1], line->p[i]);
        if (along_m > from_m + SAME_M && along_m < to_m - SAME_M &&
            lw_line_add(out, line->p[i]) != 0)
            return -1;
    }
    return 0;
}

int lw_line_cut(const struct lw_line *line, double from_m, double to_m, struct lw_line *out,
                struct lw_error *err)
{
    double length_m = lw_line_length(line);
    bool whole = false;

    *out = (struct lw_line){0};
    if (!isfinite(from_m) || !isfinite(to_m) || !(length_m > 0))
        return lw_fail(err,
                       "a line of %g m cannot be cut from %g to %g m: give a line of some "
                       "length and two distances along it",
                       length_m, from_m, to_m);
    if (line->closed) {
        double span_m = to_m - from_m;

        whole = span_m >= length_m - SAME_M;
        from_m = wrap(from_m, length_m);
        to_m = from_m + (whole ? length_m : span_m);
    } else {
        from_m = clamp(from_m, length_m);
        to_m = clamp(to_m, length_m);
    }
    if (to_m - from_m <= SAME_M)
        return lw_fail(err,
                       "nothing of a line of %g m lies between %g and %g m: make the second "
                       "distance the larger one and both less than the length",
                       length_m, from_m, to_m);
    if (lw_line_add(out, lw_line_at(line, from_m, NULL)) != 0 ||
        add_between(line, 0, from_m, to_m, out) != 0 ||
        (line->closed && add_between(line, length_m, from_m, to_m, out) != 0) ||
        lw_line_add(out, whole ? out->p[0] : lw_line_at(line, to_m, NULL)) != 0) {
        lw_line_free(out);
        return lw_fail(err, "memory ran out while cutting a line; close other programs");
    }
    out->closed = whole;
    return 0;
}

int lw_line_densify(const struct lw_line *line, double step_m, struct lw_line *out,
                    struct lw_error *err)
{
    *out = (struct lw_line){0};
    if (!(step_m > 0) || lw_line_length(line) / step_m > MOST_VERTICES)
        return lw_fail(err, "a line of %g m cannot have vertices every %g m: give a larger step",
                       lw_line_length(line), step_m);
    out->closed = line->closed;
    for (size_t i = 0; i < line->n; i++) {
        double parts = 1;

        if (i > 0)
            parts = fmax(1, ceil(lw_en_distance(line->p[i - 1], line->p[i]) / step_m - 1e-9));
        for (double k = 1; k < parts; k++)
            if (lw_line_add(out, lw_en_between(line->p[i - 1], line->p[i], k / parts)) != 0)
                goto no_memory;
        if (lw_line_add(out, line->p[i]) != 0)
            goto no_memory;
    }
    return 0;

no_memory:
    lw_line_free(out);
    return lw_fail(err, "memory ran out while dividing a line; close other programs");
}
