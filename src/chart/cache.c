/* The cache file: a fixed header, the grid, the contours, a checksum.
 *
 * It is our own and private to one machine (native byte order, told by the magic number); anything
 * else that lies at its place must be told from it, so sizes are checked before memory is asked for
 * and the checksum before anything is used. */
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cache.h"
#include "lipwalk/base/save.h"
#include "lipwalk/base/text.h"
#include "lipwalk/chart/chart.h"

#define MAGIC    0x4c574b31u /* "LWK1" */
#define CELL_MAX 100000000

struct head {
    uint32_t magic, version;
    uint64_t bytes; /* of the whole file */
    uint64_t contours, points;
    double origin_lat_deg, origin_lon_deg, e0_m, n0_m, cell_m;
    int32_t nx, ny;
    double deepest_m, area_m2;
    char lake[64], source[512], depth_field[64], unit[16], unit_reason[160], crs[128];
    uint32_t crc, spare; /* CRC-32 (IEEE 802.3) of the file with this field 0 */
};
struct contour_head {
    double depth_m;
    uint64_t points;
    uint64_t closed;
};

static uint32_t crc32_add(uint32_t crc, const void *data, size_t n)
{
    uint32_t table[256];
    const unsigned char *p = data;

    for (uint32_t i = 0; i < 256; i++) {
        table[i] = i;
        for (int k = 0; k < 8; k++)
            table[i] = table[i] >> 1 ^ (table[i] & 1 ? 0xedb88320u : 0);
    }
    crc = ~crc;
    for (size_t i = 0; i < n; i++)
        crc = crc >> 8 ^ table[(crc ^ p[i]) & 0xff];
    return ~crc;
}

static unsigned char *put(unsigned char *to, const void *from, size_t n)
{
    if (n)
        memcpy(to, from, n);
    return to + n;
}

static unsigned char *pack(const struct lw_chart *chart, size_t *bytes)
{
    struct head head = {.magic = MAGIC,
                        .version = LW_CACHE_VERSION,
                        .contours = chart->contours,
                        .origin_lat_deg = chart->frame.origin.lat_deg,
                        .origin_lon_deg = chart->frame.origin.lon_deg,
                        .e0_m = chart->grid.e0_m,
                        .n0_m = chart->grid.n0_m,
                        .cell_m = chart->grid.cell_m,
                        .nx = chart->grid.nx,
                        .ny = chart->grid.ny,
                        .deepest_m = chart->deepest_m,
                        .area_m2 = chart->area_m2};
    size_t cells = (size_t)chart->grid.nx * (size_t)chart->grid.ny;
    unsigned char *all, *at;

    for (size_t i = 0; i < chart->contours; i++)
        head.points += chart->contour[i].line.n;
    head.bytes = sizeof head + cells * sizeof(float) +
                 chart->contours * sizeof(struct contour_head) + head.points * sizeof(struct lw_en);
    lw_text_copy(head.lake, sizeof head.lake, chart->lake);
    lw_text_copy(head.source, sizeof head.source, chart->source);
    lw_text_copy(head.depth_field, sizeof head.depth_field, chart->depth_field);
    lw_text_copy(head.unit, sizeof head.unit, chart->unit);
    lw_text_copy(head.unit_reason, sizeof head.unit_reason, chart->unit_reason);
    lw_text_copy(head.crs, sizeof head.crs, chart->crs);
    *bytes = head.bytes;
    all = malloc(head.bytes);
    if (!all)
        return NULL;
    at = put(all, &head, sizeof head);
    at = put(at, chart->grid.depth_m, cells * sizeof(float));
    for (size_t i = 0; i < chart->contours; i++) {
        const struct lw_contour *c = &chart->contour[i];
        struct contour_head ch = {
            .depth_m = c->depth_m, .points = c->line.n, .closed = c->line.closed};

        at = put(at, &ch, sizeof ch);
        at = put(at, c->line.p, c->line.n * sizeof *c->line.p);
    }
    head.crc = crc32_add(0, all, head.bytes);
    memcpy(all + offsetof(struct head, crc), &head.crc, sizeof head.crc);
    return all;
}

int lw_chart_save(const struct lw_chart *chart, const char *cache_path, struct lw_error *err)
{
    size_t bytes;
    unsigned char *all = pack(chart, &bytes);
    int status;

    if (!all)
        return lw_fail(err, "out of memory for the cache file %s", cache_path);
    status = lw_file_save(cache_path, 0600, all, bytes, err);
    free(all);
    return status;
}

/* The whole file at once, or NULL. */
static unsigned char *slurp(const char *path, size_t *bytes, struct lw_error *err)
{
    struct stat st;
    unsigned char *all = NULL;
    size_t done = 0;
    int fd = open(path, O_RDONLY | O_CLOEXEC);

    if (fd < 0) {
        lw_fail(err, "the cache file %s cannot be opened: %s", path, strerror(errno));
        return NULL;
    }
    if (fstat(fd, &st) || !S_ISREG(st.st_mode) || (size_t)st.st_size < sizeof(struct head)) {
        lw_fail(err, "%s is no cache file of lipwalk: remove it and read the map again", path);
        goto done;
    }
    *bytes = (size_t)st.st_size;
    all = malloc(*bytes);
    while (all && done < *bytes) {
        ssize_t n = read(fd, all + done, *bytes - done);

        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0) {
            free(all);
            all = NULL;
        } else {
            done += (size_t)n;
        }
    }
    if (!all)
        lw_fail(err, "the cache file %s could not be read whole", path);
done:
    close(fd);
    return all;
}

/* All sizes agree with the file's, so that nothing below asks for more than the file holds. */
static bool sizes_agree(const struct head *head, size_t bytes)
{
    uint64_t cells;

    if (head->nx < 2 || head->ny < 2 || head->nx > CELL_MAX || head->ny > CELL_MAX)
        return false;
    cells = (uint64_t)head->nx * (uint64_t)head->ny;
    if (cells > CELL_MAX || head->contours > bytes || head->points > bytes)
        return false;
    return head->bytes == bytes &&
           bytes == sizeof *head + cells * sizeof(float) +
                        head->contours * sizeof(struct contour_head) +
                        head->points * sizeof(struct lw_en) &&
           isfinite(head->cell_m) && head->cell_m > 0;
}

static int unpack(const struct head *head, const unsigned char *at, const unsigned char *end,
                  struct lw_chart *chart)
{
    size_t cells = (size_t)head->nx * (size_t)head->ny;

    chart->grid.depth_m = malloc(cells * sizeof(float));
    chart->contour = calloc(head->contours + 1, sizeof *chart->contour);
    if (!chart->grid.depth_m || !chart->contour)
        return -1;
    memcpy(chart->grid.depth_m, at, cells * sizeof(float));
    at += cells * sizeof(float);
    for (size_t i = 0; i < head->contours; i++) {
        struct lw_contour *c = &chart->contour[i];
        struct contour_head ch;

        if ((size_t)(end - at) < sizeof ch)
            return -1;
        memcpy(&ch, at, sizeof ch);
        at += sizeof ch;
        if (ch.points > (size_t)(end - at) / sizeof(struct lw_en))
            return -1;
        c->depth_m = ch.depth_m;
        c->line = (struct lw_line){.p = malloc((ch.points + 1) * sizeof(struct lw_en)),
                                   .n = ch.points,
                                   .cap = ch.points + 1,
                                   .closed = ch.closed != 0};
        chart->contours = i + 1;
        if (!c->line.p)
            return -1;
        memcpy(c->line.p, at, ch.points * sizeof(struct lw_en));
        at += ch.points * sizeof(struct lw_en);
    }
    return 0;
}

int lw_chart_open(const char *cache_path, struct lw_chart **out, struct lw_error *err)
{
    size_t bytes = 0;
    struct head head;
    struct lw_chart *chart = NULL;
    unsigned char *all = slurp(cache_path, &bytes, err);
    uint32_t crc;
    int status = -1;

    if (!all)
        return -1;
    memcpy(&head, all, sizeof head);
    if (head.magic != MAGIC || head.version != LW_CACHE_VERSION) {
        lw_fail(err, "%s was not made by this version of lipwalk: read the map again", cache_path);
        goto done;
    }
    crc = head.crc;
    memset(all + offsetof(struct head, crc), 0, sizeof head.crc);
    if (!sizes_agree(&head, bytes) || crc32_add(0, all, bytes) != crc) {
        lw_fail(err, "the cache file %s is damaged or cut short: remove it and read the map again",
                cache_path);
        goto done;
    }
    chart = calloc(1, sizeof *chart);
    if (!chart || unpack(&head, all + sizeof head, all + bytes, chart)) {
        lw_fail(err, "the cache file %s could not be taken in: remove it and read the map again",
                cache_path);
        goto done;
    }
    chart->frame.origin = (struct lw_ll){head.origin_lat_deg, head.origin_lon_deg};
    chart->grid.e0_m = head.e0_m;
    chart->grid.n0_m = head.n0_m;
    chart->grid.cell_m = head.cell_m;
    chart->grid.nx = head.nx;
    chart->grid.ny = head.ny;
    chart->deepest_m = head.deepest_m;
    chart->area_m2 = head.area_m2;
    head.lake[sizeof head.lake - 1] = head.source[sizeof head.source - 1] = '\0';
    head.depth_field[sizeof head.depth_field - 1] = head.unit[sizeof head.unit - 1] = '\0';
    head.unit_reason[sizeof head.unit_reason - 1] = head.crs[sizeof head.crs - 1] = '\0';
    lw_text_clean(chart->lake, sizeof chart->lake, head.lake);
    lw_text_clean(chart->source, sizeof chart->source, head.source);
    lw_text_clean(chart->depth_field, sizeof chart->depth_field, head.depth_field);
    lw_text_clean(chart->unit, sizeof chart->unit, head.unit);
    lw_text_clean(chart->unit_reason, sizeof chart->unit_reason, head.unit_reason);
    lw_text_clean(chart->crs, sizeof chart->crs, head.crs);
    *out = chart;
    chart = NULL;
    status = 0;
done:
    lw_chart_free(chart);
    free(all);
    return status;
}
