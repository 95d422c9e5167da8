/* Contours first, then shores about them, then the outline of soundings. */
#include "choose.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cluster.h"
#include "outline.h"
#include "vector_words.h"

#define SHORE_M     1e-3
#define SHORE_SHARE 0.5 /* a ring at 0 of at least this part of the largest ring is the shore */
#define NESTED_MOST 3   /* shore, island, pond on it: rings of a shore nest no deeper */
#define RINGS_MOST  2000

struct pick { /* which files' lines take part */
    struct lw_waters_part part[LW_MAPS_MAX];
    int source[LW_MAPS_MAX]; /* of which file each is */
    size_t parts;
};

static void add_part(struct pick *pick, const struct lw_gather *gather, int i)
{
    const struct lw_source *s = &gather->source[i];

    pick->source[pick->parts] = i;
    pick->part[pick->parts++] = (struct lw_waters_part){&s->lines, s->line_m, &s->limit};
}

static bool any_closed(const struct lw_waters *waters)
{
    for (size_t i = 0; i < waters->contours; i++)
        if (waters->contour[i].line.closed)
            return true;
    return false;
}

static double largest_area(const struct lw_waters *waters, double no_deeper_m, size_t *which)
{
    double most = 0;

    for (size_t i = 0; i < waters->contours; i++) {
        double area = waters->contour[i].line.closed ? fabs(lw_line_area(&waters->contour[i].line))
                                                     : 0;

        if (waters->contour[i].depth_m <= no_deeper_m && area > most) {
            most = area;
            if (which)
                *which = i;
        }
    }
    return most;
}

static bool has_shore(const struct lw_waters *waters)
{
    double all = largest_area(waters, INFINITY, NULL);

    return all > 0 && largest_area(waters, SHORE_M, NULL) >= SHORE_SHARE * all;
}

/* Rings of contours without depths nest, those of a shore do not: refuse the ones for the other. */
static int check_shore(const struct lw_waters *waters, const struct lw_source *source, size_t part,
                       struct lw_error *err)
{
    size_t ring[RINGS_MOST], rings = 0;

    for (size_t i = 0; i < waters->contours && rings < RINGS_MOST; i++)
        if (waters->note[i].part == part && waters->contour[i].line.closed)
            ring[rings++] = i;
    for (size_t i = 0; i < rings; i++) {
        size_t about = 0;

        for (size_t k = 0; k < rings; k++)
            about += k != i && lw_line_contains(&waters->contour[ring[k]].line,
                                                waters->contour[ring[i]].line.p[0]);
        if (about >= NESTED_MOST)
            return lw_fail(err,
                           "%s has rings in rings, %zu deep, and no depths: it looks like contours "
                           "and is no shore; give --depth-field and --depth-unit if an attribute "
                           "holds their depths",
                           source->file->path, about + 1);
    }
    return 0;
}

struct lake {        /* as the first file that has depths shows it */
    struct lw_ll at; /* a place on it */
    double area_m2;  /* inside its outermost contour; 0: not known */
    bool shore;      /* that file has the shore */
};

static int find_lake(const struct lw_gather *gather, const struct lw_import_options *options,
                     struct lake *lake, struct lw_error *err)
{
    const struct lw_source *first = &gather->source[gather->first];
    struct lw_waters_wish wish = {options->at, *first->lake != '\0', first->file->path};
    struct lw_waters waters;
    struct pick pick = {.parts = 0};
    size_t which = 0;
    int status = 0;

    *lake = (struct lake){.at = first->points ? first->point[first->points / 2].at : options->at};
    if (!first->lines.features)
        return 0;
    add_part(&pick, gather, gather->first);
    if (lw_waters_make(pick.part, pick.parts, lw_box_middle(lw_gather_box(gather)), &waters, err))
        return -1;
    if (any_closed(&waters)) {
        status = lw_waters_choose(&waters, &wish, err);
        lake->shore = has_shore(&waters);
        lake->area_m2 = largest_area(&waters, INFINITY, &which);
        if (status == 0 && lake->area_m2 > 0)
            lake->at = lw_frame_to_ll(&waters.frame, waters.contour[which].line.p[0]);
    } else if (waters.contours) {
        lake->at = lw_frame_to_ll(&waters.frame, waters.contour[0].line.p[0]);
    }
    lw_waters_free(&waters);
    return status;
}

/* Drops the places of other waters. */
static int keep_one_water(struct lw_line *all, struct lw_en at, struct lw_source *source,
                          struct lw_error *err)
{
    bool *keep = calloc(all->n + 1, sizeof *keep);
    struct lw_cluster cluster;
    size_t kept = 0;
    int status = -1;

    if (!keep || lw_cluster_choose(all->p, all->n, at, keep, &cluster)) {
        lw_fail(err, "out of memory for the outline of the soundings");
        goto done;
    }
    if (cluster.others) {
        lw_fail(err,
                "%s holds soundings of %zu waters that lie far apart: choose one with --at LAT,LON",
                source->file->path, cluster.others + 1);
        goto done;
    }
    for (size_t i = 0; i < all->n; i++)
        if (keep[i])
            all->p[kept++] = all->p[i];
    all->n = kept;
    status = 0;
done:
    free(keep);
    return status;
}

/* The soundings, and what lines there are that do not close, as the water's extent. */
static int outline_soundings(struct lw_gather *gather, struct lw_ll at, struct lw_waters *waters,
                             struct lw_error *err)
{
    struct lw_line all = {0};
    struct lw_lines rings = {0};
    struct lw_source *first = &gather->source[gather->first];
    double radius_m;
    int status = -1;

    for (int i = 0; i < gather->sources; i++)
        for (size_t k = 0; k < gather->source[i].points; k++)
            if (lw_line_add(&all, lw_frame_to_en(&waters->frame, gather->source[i].point[k].at)))
                goto no_memory;
    for (size_t i = 0; i < waters->contours; i++)
        for (size_t k = 0; k < waters->contour[i].line.n; k++)
            if (lw_line_add(&all, waters->contour[i].line.p[k]))
                goto no_memory;
    if (keep_one_water(&all, lw_frame_to_en(&waters->frame, at), first, err))
        goto done;
    if (lw_outline(all.p, all.n, &rings, &radius_m, err))
        goto done;
    if (rings.n == 0) {
        lw_fail(err,
                "%s: its soundings are too few, or lie on one line, so that it is not known where "
                "the water ends: give a shoreline as well",
                first->file->path);
        goto done;
    }
    status = lw_waters_add_limit(waters, &rings);
    if (status == 0)
        goto done;
no_memory:
    lw_fail(err, "out of memory for the outline of the soundings");
done:
    lw_line_free(&all);
    lw_lines_free(&rings);
    return status;
}

enum outline { SHORE, ISLANDS, PIECES }; /* a lake's, islands in it, lines that do not close */

/* What the lines of a file without depths are. */
static int judge_outline(const struct lw_gather *gather, int i, const struct lake *lake,
                         enum outline *out, struct lw_error *err)
{
    struct lw_waters waters;
    struct pick pick = {.parts = 0};
    struct lw_en at;

    add_part(&pick, gather, i);
    if (lw_waters_make(pick.part, pick.parts, lw_box_middle(lw_gather_box(gather)), &waters, err))
        return -1;
    at = lw_frame_to_en(&waters.frame, lake->at);
    *out = any_closed(&waters) ? ISLANDS : PIECES;
    if (*out == ISLANDS && lake->area_m2 > 0 &&
        largest_area(&waters, INFINITY, NULL) >= SHORE_SHARE * lake->area_m2)
        *out = SHORE;
    for (size_t k = 0; k < waters.contours && *out == ISLANDS; k++)
        if (waters.contour[k].line.closed && lw_line_contains(&waters.contour[k].line, at))
            *out = SHORE;
    if (*out == SHORE && lw_word_is_island(gather->source[i].name))
        *out = ISLANDS;
    lw_waters_free(&waters);
    return 0;
}

/* A shore may come in pieces in several files: they are joined as those of the first. */
static int move_lines(struct lw_source *from, struct lw_source *to, struct lw_error *err)
{
    for (size_t k = 0; k < from->lines.features; k++)
        if (lw_source_add_line(to, &from->lines.feature[k], 0, from->line_m[k]))
            return lw_fail(err, "out of memory for the shore");
    lw_raw_free(&from->lines);
    return 0;
}

/* The parts that count: contours, and one shore at most, for the inner one of two that lie a little
 * apart would be an island as large as the lake. Islands are no second shore. */
static int list_parts(struct lw_gather *gather, const struct lake *lake, struct pick *pick,
                      struct lw_error *err)
{
    enum outline outline[LW_MAPS_MAX];
    int pieces = -1; /* the file that the shore's pieces come to */
    bool shore = lake->shore, any = lake->shore;

    for (int i = 0; i < gather->sources; i++) {
        if (!gather->source[i].shore || !gather->source[i].lines.features)
            continue;
        if (judge_outline(gather, i, lake, &outline[i], err))
            return -1;
        any = any || outline[i] == SHORE;
    }
    for (int i = 0; i < gather->sources; i++) {
        struct lw_source *s = &gather->source[i];

        if (!s->lines.features && !s->limit.features)
            continue;
        if (!s->shore) {
            add_part(pick, gather, i);
            continue;
        }
        if ((outline[i] == SHORE && shore) || (outline[i] == PIECES && any)) {
            lw_source_warn(s, "the shore is known already: the lines of %s were left out", s->name);
            lw_raw_free(&s->lines);
            continue;
        }
        lw_source_warn(s, "%s has no depths: its lines are taken for %s, at depth 0", s->name,
                       outline[i] == ISLANDS ? "islands" : "the shore");
        shore = shore || outline[i] == SHORE;
        if (outline[i] != PIECES)
            add_part(pick, gather, i);
        else if (pieces < 0)
            pieces = i;
        else if (move_lines(s, &gather->source[pieces], err))
            return -1;
    }
    if (pieces >= 0) /* now that its lists grow no more */
        add_part(pick, gather, pieces);
    return 0;
}

int lw_choose_water(struct lw_gather *gather, const struct lw_import_options *options,
                    struct lw_waters *out, struct lw_error *err)
{
    const char *map = options->map[gather->first < 0 ? 0 : gather->first].path;
    struct lw_waters_wish wish = {options->at, false, map};
    struct pick pick = {.parts = 0};
    struct lake lake = {.at = options->at};
    size_t points = 0, drawn = 0;

    memset(out, 0, sizeof *out);
    if (gather->first < 0)
        return 0;
    for (int i = 0; i < gather->sources; i++) {
        drawn += i != gather->first && gather->source[i].lines.features;
        points += gather->source[i].points;
    }
    /* Where other files have lines too, those of the first tell which water is meant. */
    if (drawn && find_lake(gather, options, &lake, err))
        return -1;
    wish.at = lw_ll_known(options->at) ? options->at : lake.at;
    if (list_parts(gather, &lake, &pick, err))
        return -1;
    wish.named = pick.parts == 1 && *gather->source[pick.source[0]].lake != '\0';
    if (lw_waters_make(pick.part, pick.parts, lw_box_middle(lw_gather_box(gather)), out, err))
        return -1;
    for (size_t p = 0; p < pick.parts; p++)
        if (gather->source[pick.source[p]].shore &&
            check_shore(out, &gather->source[pick.source[p]], p, err))
            goto failed;
    if (out->deepest_m < SHORE_M && points == 0) {
        lw_fail(err,
                "the map has no contour below the water: check --depth-sign and --water-level");
        goto failed;
    }
    if (!any_closed(out) && points && outline_soundings(gather, options->at, out, err))
        goto failed;
    if (lw_waters_choose(out, &wish, err))
        goto failed;
    for (size_t i = 0; i < out->contours; i++) /* from part to file */
        out->note[i].part = (size_t)pick.source[out->note[i].part];
    return 0;
failed:
    lw_waters_free(out);
    return -1;
}
