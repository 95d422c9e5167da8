#include "closed.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/geo/span.h"
#include "reader.h"
#include "say.h"
#include "vector_words.h"

#define GAP_M   1e-3
#define ABOUT_M 100.0 /* an area so far from the chart's grid is left out */

static void lower(char *to, size_t size, const char *text)
{
    lw_text_clean(to, size, text);
    for (; *to; to++)
        *to = (char)tolower((unsigned char)*to);
}

static bool has_one(const char *text, const char *const *word)
{
    for (; *word; word++)
        if (strstr(text, *word))
            return true;
    return false;
}

static bool names_a_rule(const char *field)
{
    static const char *const word[] = {"clos", "restrict", "rule", "regul", "prohib",
                                       "type", "use",      "kind", NULL};
    char name[64];

    lower(name, sizeof name, field);
    return has_one(name, word);
}

/* What an area's attributes say of it. */
static void read_rule(const struct lw_raw *raw, const struct lw_raw_feature *feature,
                      struct lw_closed *out)
{
    static const char *const boats[] = {"boat", "navig", "vessel", "motor", NULL};
    static const char *const fish[] = {"fish", "angl", "sanctuary", "spawn", NULL};
    static const char *const all[] = {"entry", "all uses", "everything", NULL};

    for (size_t i = 0; i < raw->fields; i++) {
        const char *text = feature->text ? feature->text[i] : NULL;
        char low[160];

        if (!text)
            continue;
        if (!out->words[0] && lw_word_is_remark(raw->field[i]))
            lw_text_clean(out->words, sizeof out->words, text);
        if (!names_a_rule(raw->field[i]))
            continue;
        lower(low, sizeof low, text);
        out->boating |= has_one(low, boats) || has_one(low, all) || strcmp(low, "all") == 0;
        out->fishing |= has_one(low, fish) || has_one(low, all) || strcmp(low, "all") == 0;
    }
    if (!out->boating && !out->fishing)
        out->fishing = true;
}

static bool is_about(const struct lw_grid *grid, const struct lw_line *line)
{
    struct lw_span a = lw_span_of(line);

    return a.e_min <= grid->e0_m + grid->nx * grid->cell_m + ABOUT_M &&
           a.e_max >= grid->e0_m - ABOUT_M &&
           a.n_min <= grid->n0_m + grid->ny * grid->cell_m + ABOUT_M &&
           a.n_max >= grid->n0_m - ABOUT_M;
}

static int add_ring(struct lw_chart *chart, const struct lw_raw_part *part,
                    const struct lw_closed *what)
{
    struct lw_closed ring = *what;

    ring.hole = part->hole;
    if (lw_raw_part_line(part, &chart->frame, GAP_M, &ring.ring))
        goto fail;
    if (!ring.ring.closed && ring.ring.n >= 3) {
        if (lw_line_add(&ring.ring, ring.ring.p[0]))
            goto fail;
        ring.ring.closed = true;
    }
    if (ring.ring.n < 4) {
        lw_line_free(&ring.ring);
        return 0;
    }
    if (lw_features_add_closed(&chart->features, &ring) == 0)
        return 0;
fail:
    lw_line_free(&ring.ring);
    return -1;
}

/* Whether any of a feature's outer rings lies about the chart; *areas counts its areas. */
static int about(const struct lw_chart *chart, const struct lw_raw_feature *feature, size_t *areas)
{
    int near = 0;

    for (size_t i = 0; i < feature->parts; i++) {
        struct lw_line line;

        if (!feature->part[i].area || feature->part[i].hole)
            continue;
        ++*areas;
        if (lw_raw_part_line(&feature->part[i], &chart->frame, GAP_M, &line)) {
            lw_line_free(&line);
            return -1;
        }
        near |= is_about(&chart->grid, &line);
        lw_line_free(&line);
    }
    return near;
}

static int take(const struct lw_raw *raw, struct lw_chart *chart, size_t *areas, size_t *taken)
{
    for (size_t i = 0; i < raw->features; i++) {
        const struct lw_raw_feature *feature = &raw->feature[i];
        struct lw_closed what = {0};
        int near = about(chart, feature, areas);

        if (near < 0)
            return -1;
        if (!near)
            continue;
        read_rule(raw, feature, &what);
        for (size_t k = 0; k < feature->parts; k++)
            if (feature->part[k].area && add_ring(chart, &feature->part[k], &what))
                return -1;
        ++*taken;
    }
    return 0;
}

static int read_file(const char *path, const char *scratch, struct lw_chart *chart,
                     struct lw_import_report *report, struct lw_error *err)
{
    struct lw_map_file file = {.path = path, .water_level_m = NAN};
    const struct lw_layer *layer;
    struct lw_reader *reader = NULL;
    struct lw_raw raw = {0};
    size_t areas = 0, taken = 0, n;
    int status = -1;

    if (lw_reader_open(&file, scratch, &reader, err))
        return -1;
    n = lw_reader_layers(reader, &layer);
    for (size_t i = 0; i < n; i++) { /* one by one: each layer has its own coordinates */
        bool use[LW_LAYERS_MAX] = {false};

        use[i] = true;
        if (lw_reader_use(reader, use, err) || lw_reader_read(reader, NULL, &raw, err))
            goto done;
        if (take(&raw, chart, &areas, &taken)) {
            lw_fail(err, "out of memory for the closed areas of %s", lw_reader_map(reader));
            goto done;
        }
        lw_raw_free(&raw);
    }
    if (areas == 0) {
        lw_fail(err, "%s holds no areas: --closed wants polygons of the water that is closed",
                lw_reader_map(reader));
        goto done;
    }
    if (taken == 0)
        lw_say_warn(report, "none of the %zu closed area%s of %s lies about this lake", areas,
                    areas == 1 ? "" : "s", lw_reader_map(reader));
    else
        lw_say_warn(report, "%zu closed area%s of %s %s kept: local regulations decide", taken,
                    taken == 1 ? "" : "s", lw_reader_map(reader), taken == 1 ? "is" : "are");
    status = 0;
done:
    lw_raw_free(&raw);
    lw_reader_close(reader);
    return status;
}

int lw_closed_read(const struct lw_import_options *options, const char *scratch,
                   struct lw_chart *chart, struct lw_import_report *report, struct lw_error *err)
{
    for (int i = 0; i < options->closeds; i++)
        if (read_file(options->closed[i], scratch, chart, report, err))
            return -1;
    return 0;
}
