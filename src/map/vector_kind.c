/* Hazards, cover and bottom among a map's features. */
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "vector.h"
#include "vector_words.h"

void lw_vector_kind_of(const struct lw_raw *raw, size_t i, const struct lw_layer *layer, bool label,
                       struct lw_vector_kind *out)
{
    const struct lw_raw_feature *feature = &raw->feature[i];
    int of_layer = layer->hazard;

    *out = (struct lw_vector_kind){.hazard = of_layer, .cover = -1};
    for (size_t k = 0; k < raw->fields; k++) {
        const char *text = feature->text[k];
        bool remark = lw_word_is_remark(raw->field[k]);

        if (!text || !*text)
            continue;
        if (remark && !*out->words)
            lw_text_copy(out->words, sizeof out->words, text);
        if (lw_word_is_bottom(raw->field[k])) {
            if (out->cover < 0)
                out->cover = lw_cover_of(text);
        } else if (lw_word_is_kind(raw->field[k]) || (label && remark)) {
            int hazard = lw_hazard_of(text), cover = lw_cover_of(text);

            /* A rock may be a danger or the bottom: a place is the one, an area the other, and a
             * sounding on rock is a sounding. */
            bool danger = lw_raw_is_place(feature) && layer->holds != LW_HOLDS_SOUNDINGS;

            if (hazard >= 0 && (of_layer >= 0 || cover < 0 || danger))
                out->hazard = hazard;
            else if (out->cover < 0)
                out->cover = cover;
        }
    }
    if (out->cover < 0 && out->hazard < 0)
        out->cover = layer->cover;
}

static int copy_part(const struct lw_raw_part *from, struct lw_raw_part *to)
{
    *to = *from;
    to->p = malloc(from->n * sizeof *to->p);
    if (!to->p)
        return -1;
    memcpy(to->p, from->p, from->n * sizeof *to->p);
    return 0;
}

int lw_vector_add_hazard(struct lw_source *out, const struct lw_raw_feature *feature,
                         const struct lw_vector_kind *kind, double depth_m)
{
    for (size_t k = 0; k < feature->parts; k++) {
        struct lw_source_hazard hazard = {.kind = (enum lw_hazard_kind)kind->hazard,
                                          .depth_m = depth_m};

        if (feature->part[k].hole)
            continue;
        lw_text_copy(hazard.words, sizeof hazard.words, kind->words);
        if (copy_part(&feature->part[k], &hazard.part))
            return -1;
        if (lw_source_add_hazard(out, &hazard)) {
            free(hazard.part.p);
            return -1;
        }
    }
    return 0;
}

int lw_vector_add_cover(struct lw_source *out, const struct lw_raw_feature *feature,
                        enum lw_cover_kind kind)
{
    for (size_t k = 0; k < feature->parts; k++) {
        struct lw_source_cover cover = {.kind = kind};

        if (feature->part[k].hole)
            continue;
        if (copy_part(&feature->part[k], &cover.part))
            return -1;
        if (lw_source_add_cover(out, &cover)) {
            free(cover.part.p);
            return -1;
        }
    }
    return 0;
}
