/* Features into the chart's frame. */
#include "source_features.h"

#include <math.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/geo/span.h"

#define ABOUT_M      100.0 /* a rock on the bank is still of use */
#define CLOSED_GAP_M 1e-3

static bool is_about(const struct lw_grid *grid, const struct lw_line *line)
{
    struct lw_span a = lw_span_of(line);

    return a.e_min <= grid->e0_m + grid->nx * grid->cell_m + ABOUT_M &&
           a.e_max >= grid->e0_m - ABOUT_M &&
           a.n_min <= grid->n0_m + grid->ny * grid->cell_m + ABOUT_M &&
           a.n_max >= grid->n0_m - ABOUT_M;
}

/* The part as a line in the chart's frame; empty where it lies elsewhere. */
static int feature_line(const struct lw_raw_part *part, const struct lw_chart *chart,
                        struct lw_line *line)
{
    if (lw_raw_part_line(part, &chart->frame, CLOSED_GAP_M, line)) {
        lw_line_free(line);
        return -1;
    }
    if (part->area && !line->closed && line->n >= 3) {
        if (lw_line_add(line, line->p[0])) {
            lw_line_free(line);
            return -1;
        }
        line->closed = true;
    }
    if (!is_about(&chart->grid, line))
        lw_line_free(line);
    return 0;
}

static int no_memory(struct lw_error *err)
{
    return lw_fail(err, "out of memory for the map's hazards and bottom");
}

int lw_source_features(const struct lw_source *source, struct lw_chart *chart, double stage_m,
                       size_t *hazards, size_t *covers, struct lw_error *err)
{
    for (size_t i = 0; i < source->hazards; i++) {
        const struct lw_source_hazard *from = &source->hazard[i];
        struct lw_hazard to = {.kind = from->kind,
                               .depth_m = from->depth_m + (isnan(stage_m) ? 0 : stage_m)};

        lw_text_clean(to.words, sizeof to.words, from->words);
        if (feature_line(&from->part, chart, &to.line))
            return no_memory(err);
        if (to.line.n == 0)
            continue;
        if (lw_features_add_hazard(&chart->features, &to)) {
            lw_line_free(&to.line);
            return no_memory(err);
        }
        ++*hazards;
    }
    for (size_t i = 0; i < source->covers; i++) {
        struct lw_cover to = {.kind = source->cover[i].kind};

        if (feature_line(&source->cover[i].part, chart, &to.line))
            return no_memory(err);
        if (to.line.n == 0)
            continue;
        if (lw_features_add_cover(&chart->features, &to)) {
            lw_line_free(&to.line);
            return no_memory(err);
        }
        ++*covers;
    }
    return 0;
}

int lw_crew_features(const struct lw_import_options *options, struct lw_chart *chart,
                     struct lw_error *err)
{
    for (size_t i = 0; i < options->crews; i++) {
        struct lw_cover to = {.kind = options->crew[i].kind, .crew = true};

        if (!lw_ll_known(options->crew[i].at))
            continue;
        if (lw_line_add(&to.line, lw_frame_to_en(&chart->frame, options->crew[i].at)))
            return no_memory(err);
        if (!is_about(&chart->grid, &to.line)) {
            lw_line_free(&to.line);
            continue;
        }
        if (lw_features_add_cover(&chart->features, &to)) {
            lw_line_free(&to.line);
            return no_memory(err);
        }
    }
    return 0;
}
