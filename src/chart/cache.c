/* The cache file: a fixed header, the grids, the contours, hazards, cover and closed areas, a
 * checksum.
 *
 * It is our own and private to one machine (native byte order, told by the magic number); anything
 * else that lies at its place must be told from it, so sizes are checked before memory is asked for
 * and the checksum before the chart is given out. A large lake's file is as large as its grids:
 * both ways it goes in pieces, never through a second copy. */

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "crc.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"
#include "lipwalk/chart/chart.h"

#define MAGIC    0x4c574b31u /* "LWK1" */
#define CELL_MAX 100000000
#define PIECE    262144 /* bytes that are summed up while they are still in the processor's cache */

struct head {
    uint32_t magic, version;
    uint64_t bytes; /* of the whole file */
    uint64_t contours, hazards, covers, closeds, points, soundings;
    double origin_lat_deg, origin_lon_deg, e0_m, n0_m, cell_m;
    int32_t nx, ny;
    uint64_t grids; /* 2: sigma follows the depths */
    double deepest_m, area_m2;
    char lake[64], source[512], depth_field[64], unit[16], unit_reason[160], crs[128];
};
enum { CLOSED_FISHING = 1, CLOSED_BOATING = 2, CLOSED_HOLE = 4 }; /* a closed area's kind */
struct line_head { /* of a contour, a hazard, a cover or a closed area */
    double depth_m;
    uint64_t points;
    int32_t kind;
    uint16_t closed, crew;
    char words[64];
};

/* ---- writing ---- */

struct writer {
    FILE *file;
    struct lw_crc crc;
};

static int put(struct writer *w, const void *data, size_t n)
{
    const unsigned char *p = data;

    while (n > 0) {
        size_t piece = n < PIECE ? n : PIECE;

        lw_crc_add(&w->crc, p, piece);
        if (fwrite(p, 1, piece, w->file) != piece)
            return -1;
        p += piece;
        n -= piece;
    }
    return 0;
}

static int put_line(struct writer *w, struct line_head head, const struct lw_line *line)
{
    head.points = line->n;
    head.closed = line->closed;
    return put(w, &head, sizeof head) || put(w, line->p, line->n * sizeof *line->p) ? -1 : 0;
}

static uint64_t size_of(const struct head *head)
{
    return sizeof *head + head->grids * (uint64_t)head->nx * (uint64_t)head->ny * sizeof(float) +
           (head->contours + head->hazards + head->covers + head->closeds) *
               sizeof(struct line_head) +
           head->points * sizeof(struct lw_en) + sizeof(uint32_t);
}

static struct head head_of(const struct lw_chart *chart)
{
    const struct lw_features *f = &chart->features;
    struct head head = {.magic = MAGIC,
                        .version = LW_CACHE_VERSION,
                        .contours = chart->contours,
                        .hazards = f->hazards,
                        .covers = f->covers,
                        .closeds = f->closeds,
                        .soundings = chart->soundings,
                        .origin_lat_deg = chart->frame.origin.lat_deg,
                        .origin_lon_deg = chart->frame.origin.lon_deg,
                        .e0_m = chart->grid.e0_m,
                        .n0_m = chart->grid.n0_m,
                        .cell_m = chart->grid.cell_m,
                        .nx = chart->grid.nx,
                        .ny = chart->grid.ny,
                        .grids = chart->grid.sigma_m ? 2 : 1,
                        .deepest_m = chart->deepest_m,
                        .area_m2 = chart->area_m2};

    for (size_t i = 0; i < chart->contours; i++)
        head.points += chart->contour[i].line.n;
    for (size_t i = 0; i < f->hazards; i++)
        head.points += f->hazard[i].line.n;
    for (size_t i = 0; i < f->covers; i++)
        head.points += f->cover[i].line.n;
    for (size_t i = 0; i < f->closeds; i++)
        head.points += f->closed[i].ring.n;
    head.bytes = size_of(&head);
    lw_text_copy(head.lake, sizeof head.lake, chart->lake);
    lw_text_copy(head.source, sizeof head.source, chart->source);
    lw_text_copy(head.depth_field, sizeof head.depth_field, chart->depth_field);
    lw_text_copy(head.unit, sizeof head.unit, chart->unit);
    lw_text_copy(head.unit_reason, sizeof head.unit_reason, chart->unit_reason);
    lw_text_copy(head.crs, sizeof head.crs, chart->crs);
    return head;
}

static int put_chart(struct writer *w, const struct lw_chart *chart)
{
    const struct lw_features *f = &chart->features;
    size_t grid = (size_t)chart->grid.nx * (size_t)chart->grid.ny * sizeof(float);
    struct head head = head_of(chart);

    if (put(w, &head, sizeof head) || put(w, chart->grid.depth_m, grid) ||
        (chart->grid.sigma_m && put(w, chart->grid.sigma_m, grid)))
        return -1;
    for (size_t i = 0; i < chart->contours; i++) {
        struct line_head one = {.depth_m = chart->contour[i].depth_m};

        if (put_line(w, one, &chart->contour[i].line))
            return -1;
    }
    for (size_t i = 0; i < f->hazards; i++) {
        struct line_head one = {.kind = (int)f->hazard[i].kind, .depth_m = f->hazard[i].depth_m};

        lw_text_copy(one.words, sizeof one.words, f->hazard[i].words);
        if (put_line(w, one, &f->hazard[i].line))
            return -1;
    }
    for (size_t i = 0; i < f->covers; i++) {
        struct line_head one = {.kind = (int)f->cover[i].kind, .crew = f->cover[i].crew};

        if (put_line(w, one, &f->cover[i].line))
            return -1;
    }
    for (size_t i = 0; i < f->closeds; i++) {
        const struct lw_closed *c = &f->closed[i];
        struct line_head one = {.kind = (c->fishing ? CLOSED_FISHING : 0) |
                                        (c->boating ? CLOSED_BOATING : 0) |
                                        (c->hole ? CLOSED_HOLE : 0)};

        lw_text_copy(one.words, sizeof one.words, c->words);
        if (put_line(w, one, &c->ring))
            return -1;
    }
    return fwrite(&w->crc.now, 1, sizeof w->crc.now, w->file) == sizeof w->crc.now ? 0 : -1;
}

int lw_chart_save(const struct lw_chart *chart, const char *cache_path, struct lw_error *err)
{
    struct writer writer = {0};
    char draft[PATH_MAX + 32];
    int fd, reason = 0;

    lw_file_draft(draft, sizeof draft, cache_path, getpid());
    fd = open(draft, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
    writer.file = fd < 0 ? NULL : fdopen(fd, "wb");
    if (!writer.file) {
        reason = errno;
        if (fd >= 0)
            close(fd);
    } else {
        lw_crc_start(&writer.crc);
        if (put_chart(&writer, chart) || fflush(writer.file) || fsync(fd))
            reason = errno;
        if (fclose(writer.file) && !reason)
            reason = errno;
    }
    if (!reason && rename(draft, cache_path))
        reason = errno;
    if (!reason)
        return 0;
    if (fd >= 0)
        unlink(draft);
    return lw_fail(err, "the cache file %s cannot be written: %s; free some space", cache_path,
                   strerror(reason));
}

/* ---- reading ---- */

struct reader {
    FILE *file;
    uint64_t bytes, points_left;
    struct lw_crc crc;
};

static int get(struct reader *r, void *to, size_t n)
{
    unsigned char *p = to;

    while (n > 0) {
        size_t piece = n < PIECE ? n : PIECE;

        if (fread(p, 1, piece, r->file) != piece)
            return -1;
        lw_crc_add(&r->crc, p, piece);
        p += piece;
        n -= piece;
    }
    return 0;
}

/* Room for a grid and its content; NULL when there is neither. */
static float *get_grid(struct reader *r, const struct head *head)
{
    size_t bytes = (size_t)head->nx * (size_t)head->ny * sizeof(float);
    float *grid = malloc(bytes);

    if (grid && get(r, grid, bytes)) {
        free(grid);
        return NULL;
    }
    return grid;
}

static int get_line(struct reader *r, struct line_head *head, struct lw_line *line)
{
    if (get(r, head, sizeof *head) || head->points > r->points_left)
        return -1;
    r->points_left -= head->points;
    line->n = head->points;
    line->cap = line->n + 1;
    line->closed = head->closed != 0;
    line->p = malloc(line->cap * sizeof *line->p);
    head->words[sizeof head->words - 1] = '\0';
    return line->p ? get(r, line->p, line->n * sizeof *line->p) : -1;
}

/* All sizes agree with the file's, so that nothing below asks for more than the file holds. */
static bool sizes_agree(const struct head *head, uint64_t bytes)
{
    if (head->nx < 2 || head->ny < 2 || (uint64_t)head->nx * (uint64_t)head->ny > CELL_MAX ||
        (head->grids != 1 && head->grids != 2))
        return false;
    if (head->contours > bytes / sizeof(struct line_head) ||
        head->hazards > bytes / sizeof(struct line_head) ||
        head->covers > bytes / sizeof(struct line_head) ||
        head->closeds > bytes / sizeof(struct line_head) ||
        head->points > bytes / sizeof(struct lw_en))
        return false;
    return head->bytes == bytes && size_of(head) == bytes && isfinite(head->cell_m) &&
           head->cell_m > 0;
}

static int get_features(struct reader *r, const struct head *head, struct lw_features *f)
{
    struct line_head one;

    f->hazard = calloc(head->hazards + 1, sizeof *f->hazard);
    f->cover = calloc(head->covers + 1, sizeof *f->cover);
    f->hazard_cap = head->hazards + 1;
    f->cover_cap = head->covers + 1;
    f->closed = calloc(head->closeds + 1, sizeof *f->closed);
    f->closed_cap = head->closeds + 1;
    if (!f->hazard || !f->cover || !f->closed)
        return -1;
    for (size_t i = 0; i < head->hazards; i++) {
        f->hazards++; /* first, so that what there is of the line is freed with it */
        if (get_line(r, &one, &f->hazard[i].line) || one.kind < 0 || one.kind >= LW_HAZARD_KINDS)
            return -1;
        f->hazard[i].kind = (enum lw_hazard_kind)one.kind;
        f->hazard[i].depth_m = one.depth_m;
        lw_text_clean(f->hazard[i].words, sizeof f->hazard[i].words, one.words);
    }
    for (size_t i = 0; i < head->covers; i++) {
        f->covers++;
        if (get_line(r, &one, &f->cover[i].line) || one.kind < 0 || one.kind >= LW_COVER_KINDS)
            return -1;
        f->cover[i].kind = (enum lw_cover_kind)one.kind;
        f->cover[i].crew = one.crew != 0;
    }
    for (size_t i = 0; i < head->closeds; i++) {
        struct lw_closed *c = &f->closed[f->closeds++];

        if (get_line(r, &one, &c->ring) || one.kind < 0 || one.kind >= 2 * CLOSED_HOLE)
            return -1;
        c->fishing = one.kind & CLOSED_FISHING;
        c->boating = one.kind & CLOSED_BOATING;
        c->hole = one.kind & CLOSED_HOLE;
        lw_text_clean(c->words, sizeof c->words, one.words);
    }
    return 0;
}

static int get_chart(struct reader *r, const struct head *head, struct lw_chart *chart)
{
    struct line_head one;
    uint32_t crc, sum;

    r->points_left = head->points;
    chart->grid.depth_m = get_grid(r, head);
    if (!chart->grid.depth_m || (head->grids == 2 && !(chart->grid.sigma_m = get_grid(r, head))))
        return -1;
    chart->contour = calloc(head->contours + 1, sizeof *chart->contour);
    if (!chart->contour)
        return -1;
    for (size_t i = 0; i < head->contours; i++) {
        chart->contours = i + 1;
        if (get_line(r, &one, &chart->contour[i].line))
            return -1;
        chart->contour[i].depth_m = one.depth_m;
    }
    if (get_features(r, head, &chart->features))
        return -1;
    sum = r->crc.now;
    return fread(&crc, 1, sizeof crc, r->file) == sizeof crc && crc == sum ? 0 : -1;
}

static void take_head(const struct head *head, struct lw_chart *chart)
{
    struct head h = *head;

    h.lake[sizeof h.lake - 1] = h.source[sizeof h.source - 1] = '\0';
    h.depth_field[sizeof h.depth_field - 1] = h.unit[sizeof h.unit - 1] = '\0';
    h.unit_reason[sizeof h.unit_reason - 1] = h.crs[sizeof h.crs - 1] = '\0';
    lw_text_clean(chart->lake, sizeof chart->lake, h.lake);
    lw_text_clean(chart->source, sizeof chart->source, h.source);
    lw_text_clean(chart->depth_field, sizeof chart->depth_field, h.depth_field);
    lw_text_clean(chart->unit, sizeof chart->unit, h.unit);
    lw_text_clean(chart->unit_reason, sizeof chart->unit_reason, h.unit_reason);
    lw_text_clean(chart->crs, sizeof chart->crs, h.crs);
    chart->frame.origin = (struct lw_ll){h.origin_lat_deg, h.origin_lon_deg};
    chart->grid.e0_m = h.e0_m;
    chart->grid.n0_m = h.n0_m;
    chart->grid.cell_m = h.cell_m;
    chart->grid.nx = h.nx;
    chart->grid.ny = h.ny;
    chart->soundings = h.soundings;
    chart->deepest_m = h.deepest_m;
    chart->area_m2 = h.area_m2;
}

static int open_file(const char *path, struct reader *r, struct lw_error *err)
{
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK); /* a pipe must not hold us */
    struct stat st;

    if (fd < 0)
        return lw_fail(err, "the cache file %s cannot be opened: %s", path, strerror(errno));
    if (fstat(fd, &st) || !S_ISREG(st.st_mode) || (size_t)st.st_size < sizeof(struct head) ||
        !(r->file = fdopen(fd, "rb"))) {
        close(fd);
        return lw_fail(err, "%s is no cache file of lipwalk: remove it and read the map again",
                       path);
    }
    r->bytes = (uint64_t)st.st_size;
    lw_crc_start(&r->crc);
    return 0;
}

int lw_chart_open(const char *cache_path, struct lw_chart **out, struct lw_error *err)
{
    struct reader reader = {0};
    struct head head;
    struct lw_chart *chart = calloc(1, sizeof *chart);
    int status = -1;

    if (!chart)
        return lw_fail(err, "out of memory");
    if (open_file(cache_path, &reader, err))
        goto done;
    if (get(&reader, &head, sizeof head)) {
        lw_fail(err, "the cache file %s could not be read", cache_path);
        goto done;
    }
    if (head.magic != MAGIC || head.version != LW_CACHE_VERSION) {
        lw_fail(err, "%s was not made by this version of lipwalk: read the map again", cache_path);
        goto done;
    }
    if (!sizes_agree(&head, reader.bytes) || get_chart(&reader, &head, chart)) {
        lw_fail(err,
                "the cache file %s is damaged or cut short, or memory ran out: remove it and read "
                "the map again",
                cache_path);
        goto done;
    }
    take_head(&head, chart);
    futimens(fileno(reader.file), NULL); /* when it was last used, for lw_cache_prune */
    *out = chart;
    chart = NULL;
    status = 0;
done:
    if (reader.file)
        fclose(reader.file);
    lw_chart_free(chart);
    return status;
}
