/* A cache file comes back as it was, and no damage to it gets past the reader. */
#include "lw_test.h"

#include <fcntl.h>
#include <math.h>
#include <stdint.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include "../../src/chart/crc.h"
#include "lipwalk/base/text.h"
#include "lipwalk/chart/chart.h"

static void add_features(struct lw_features *f)
{
    f->hazards = f->hazard_cap = 2;
    f->hazard = calloc(2, sizeof *f->hazard);
    f->covers = f->cover_cap = 1;
    f->cover = calloc(1, sizeof *f->cover);
    cr_assert(f->hazard && f->cover);
    f->hazard[0] = (struct lw_hazard){.kind = LW_HAZARD_WRECK, .depth_m = NAN, .words = "barge"};
    f->hazard[1] = (struct lw_hazard){.kind = LW_HAZARD_ROCK, .depth_m = 0.5};
    f->cover[0] = (struct lw_cover){.kind = LW_COVER_WEED, .crew = true};
    cr_assert_eq(lw_line_add(&f->hazard[0].line, (struct lw_en){1, 2}), 0);
    cr_assert_eq(lw_line_add(&f->hazard[1].line, (struct lw_en){3, 4}), 0);
    for (int k = 0; k < 5; k++)
        cr_assert_eq(lw_line_add(&f->cover[0].line, (struct lw_en){k % 4, k * k % 4}), 0);
    f->cover[0].line.closed = true;
}

static struct lw_chart *sample(void)
{
    struct lw_chart *c = calloc(1, sizeof *c);

    cr_assert_not_null(c);
    c->frame.origin = (struct lw_ll){46.25, -89.5};
    c->grid = (struct lw_grid){.e0_m = -3, .n0_m = -2, .cell_m = 2, .nx = 7, .ny = 5};
    c->grid.depth_m = calloc(35, sizeof(float));
    for (int k = 0; k < 35; k++)
        c->grid.depth_m[k] = k % 6 ? (float)k / 3 : NAN;
    c->contour = calloc(2, sizeof *c->contour);
    c->contours = 2;
    for (int i = 0; i < 2; i++) {
        c->contour[i].depth_m = 1.524 * i;
        for (int k = 0; k < 4 + i; k++)
            cr_assert_eq(lw_line_add(&c->contour[i].line, (struct lw_en){k, k * k - i}), 0);
        c->contour[i].line.closed = i == 1;
    }
    c->grid.sigma_m = calloc(35, sizeof(float));
    for (int k = 0; k < 35; k++)
        c->grid.sigma_m[k] = k % 6 ? (float)k / 100 : NAN;
    add_features(&c->features);
    c->soundings = 12345;
    lw_text_copy(c->lake, sizeof c->lake, "Tarn Pool");
    lw_text_copy(c->source, sizeof c->source, "/maps/tarn.gpkg");
    lw_text_copy(c->depth_field, sizeof c->depth_field, "Depth_m");
    lw_text_copy(c->unit, sizeof c->unit, "m");
    lw_text_copy(c->unit_reason, sizeof c->unit_reason, "the name says metres");
    lw_text_copy(c->crs, sizeof c->crs, "EPSG:4326 (WGS 84)");
    c->deepest_m = 1.524;
    c->area_m2 = 321.5;
    return c;
}

static unsigned char *slurp(const char *path, long *size)
{
    FILE *file = fopen(path, "rb");
    unsigned char *all;

    cr_assert_not_null(file);
    fseek(file, 0, SEEK_END);
    *size = ftell(file);
    rewind(file);
    all = malloc((size_t)*size);
    cr_assert_eq(fread(all, 1, (size_t)*size, file), (size_t)*size);
    fclose(file);
    return all;
}

static void spill(const char *path, const unsigned char *all, long size)
{
    FILE *file = fopen(path, "wb");

    cr_assert_not_null(file);
    cr_assert_eq(fwrite(all, 1, (size_t)size, file), (size_t)size);
    fclose(file);
}

Test(cache, comes_back_whole)
{
    char folder[300], path[320];
    struct lw_chart *a = sample(), *b = NULL;
    struct lw_error err = {""};
    struct stat st;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/c", folder);
    cr_assert_eq(lw_chart_save(a, path, &err), 0, "%s", err.text);
    cr_assert_eq(stat(path, &st), 0);
    cr_assert_eq(st.st_mode & 0777, 0600);
    cr_assert_eq(lw_chart_open(path, &b, &err), 0, "%s", err.text);
    cr_assert_float_eq(b->frame.origin.lon_deg, -89.5, 0);
    cr_assert_eq(b->grid.nx, 7);
    cr_assert_eq(b->grid.ny, 5);
    cr_assert_eq(memcmp(a->grid.depth_m, b->grid.depth_m, 35 * sizeof(float)), 0);
    cr_assert_eq(b->contours, 2);
    for (int i = 0; i < 2; i++) {
        cr_assert_eq(b->contour[i].line.n, a->contour[i].line.n);
        cr_assert_eq(b->contour[i].line.closed, a->contour[i].line.closed);
        cr_assert_eq(memcmp(a->contour[i].line.p, b->contour[i].line.p,
                            a->contour[i].line.n * sizeof(struct lw_en)),
                     0);
    }
    cr_assert_eq(memcmp(a->grid.sigma_m, b->grid.sigma_m, 35 * sizeof(float)), 0);
    cr_assert_eq(b->soundings, 12345);
    cr_assert_eq(b->features.hazards, 2);
    cr_assert_eq(b->features.hazard[0].kind, LW_HAZARD_WRECK);
    cr_assert(isnan(b->features.hazard[0].depth_m));
    cr_assert_str_eq(b->features.hazard[0].words, "barge");
    cr_assert_float_eq(b->features.hazard[1].depth_m, 0.5, 0);
    cr_assert_float_eq(b->features.hazard[1].line.p[0].n_m, 4, 0);
    cr_assert_eq(b->features.covers, 1);
    cr_assert_eq(b->features.cover[0].kind, LW_COVER_WEED);
    cr_assert(b->features.cover[0].crew);
    cr_assert(b->features.cover[0].line.closed);
    cr_assert_eq(b->features.cover[0].line.n, 5);
    cr_assert_str_eq(b->lake, "Tarn Pool");
    cr_assert_str_eq(b->source, "/maps/tarn.gpkg");
    cr_assert_str_eq(b->crs, "EPSG:4326 (WGS 84)");
    lw_chart_free(a);
    lw_chart_free(b);
}

/* The check value of CRC-32 in the catalogues (of the nine digits), in one piece and in two. */
Test(cache, crc_check_value)
{
    static struct lw_crc crc;
    unsigned char long_one[100];
    uint32_t whole;

    lw_crc_start(&crc);
    lw_crc_add(&crc, "123456789", 9);
    cr_assert_eq(crc.now, 0xcbf43926u);
    for (int i = 0; i < 100; i++)
        long_one[i] = (unsigned char)(i * 37);
    lw_crc_start(&crc);
    lw_crc_add(&crc, long_one, 100);
    whole = crc.now;
    for (size_t cut = 0; cut <= 100; cut++) {
        lw_crc_start(&crc);
        lw_crc_add(&crc, long_one, cut);
        lw_crc_add(&crc, long_one + cut, 100 - cut);
        cr_assert_eq(crc.now, whole, "cut at %zu", cut);
    }
}

Test(cache, without_sigma)
{
    char folder[300], path[320];
    struct lw_chart *a = sample(), *b = NULL;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/c", folder);
    free(a->grid.sigma_m);
    a->grid.sigma_m = NULL;
    cr_assert_eq(lw_chart_save(a, path, NULL), 0);
    cr_assert_eq(lw_chart_open(path, &b, NULL), 0);
    cr_assert_null(b->grid.sigma_m);
    cr_assert_eq(b->features.covers, 1);
    lw_chart_free(a);
    lw_chart_free(b);
}

/* Sizes that the file does not hold are refused before memory is asked for: any eight bytes of the
 * head set to a large number. */
Test(cache, sizes_that_are_not_there)
{
    char folder[300], path[320];
    struct lw_chart *a = sample(), *b = NULL;
    static const uint64_t large[] = {1u << 20, 1ull << 31, 1ull << 40, 1ull << 63, UINT64_MAX};
    struct rlimit limit = {1ul << 30, 1ul << 30};
    unsigned char *all;
    long size;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/c", folder);
    cr_assert_eq(lw_chart_save(a, path, NULL), 0);
    all = slurp(path, &size);
#ifndef __SANITIZE_ADDRESS__
    cr_assert_eq(setrlimit(RLIMIT_AS, &limit), 0);
#else
    (void)limit;
#endif
    for (long at = 8; at < 150; at += 4)
        for (size_t k = 0; k < sizeof large / sizeof *large; k++) {
            unsigned char keep[8];

            memcpy(keep, all + at, 8);
            memcpy(all + at, &large[k], 8);
            spill(path, all, size);
            cr_assert_eq(lw_chart_open(path, &b, NULL), -1, "byte %ld", at);
            memcpy(all + at, keep, 8);
        }
    free(all);
    lw_chart_free(a);
}

Test(cache, opening_counts_as_use)
{
    char folder[300], path[320];
    struct lw_chart *a = sample(), *b = NULL;
    struct timespec old[2] = {{.tv_sec = 1000}, {.tv_sec = 1000}};
    struct stat st;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/c", folder);
    cr_assert_eq(lw_chart_save(a, path, NULL), 0);
    cr_assert_eq(utimensat(AT_FDCWD, path, old, 0), 0);
    cr_assert_eq(lw_chart_open(path, &b, NULL), 0);
    cr_assert_eq(stat(path, &st), 0);
    cr_assert_gt(st.st_mtim.tv_sec, 1000000);
    lw_chart_free(a);
    lw_chart_free(b);
}

Test(cache, cut_short_anywhere)
{
    char folder[300], path[320];
    struct lw_chart *a = sample(), *b = NULL;
    struct lw_error err;
    unsigned char *all;
    long size;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/c", folder);
    cr_assert_eq(lw_chart_save(a, path, NULL), 0);
    all = slurp(path, &size);
    for (long cut = 0; cut < size; cut += 3) {
        err.text[0] = '\0';
        spill(path, all, cut);
        cr_assert_eq(lw_chart_open(path, &b, &err), -1, "%ld bytes", cut);
        cr_assert_neq(err.text[0], '\0');
    }
    free(all);
    lw_chart_free(a);
}

Test(cache, any_bit_turned)
{
    char folder[300], path[320];
    struct lw_chart *a = sample(), *b = NULL;
    struct lw_error err;
    unsigned char *all;
    long size;

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/c", folder);
    cr_assert_eq(lw_chart_save(a, path, NULL), 0);
    all = slurp(path, &size);
    for (long bit = 0; bit < 8 * size; bit += 7) {
        all[bit / 8] = (unsigned char)(all[bit / 8] ^ 1 << bit % 8);
        err.text[0] = '\0';
        spill(path, all, size);
        cr_assert_eq(lw_chart_open(path, &b, &err), -1, "bit %ld", bit);
        cr_assert_neq(err.text[0], '\0');
        all[bit / 8] = (unsigned char)(all[bit / 8] ^ 1 << bit % 8);
    }
    spill(path, all, size);
    cr_assert_eq(lw_chart_open(path, &b, NULL), 0, "and whole again");
    lw_chart_free(b);
    free(all);
    lw_chart_free(a);
}

Test(cache, foreign_files_and_none)
{
    char folder[300], path[320];
    struct lw_chart *b = NULL;
    struct lw_error err = {""};
    unsigned char junk[5000];

    lw_test_scratch(folder, sizeof folder);
    snprintf(path, sizeof path, "%s/c", folder);
    cr_assert_eq(lw_chart_open(path, &b, &err), -1);
    cr_assert_eq(lw_chart_open(folder, &b, &err), -1, "a folder");
    cr_assert_eq(mkfifo(path, 0600), 0);
    cr_assert_eq(lw_chart_open(path, &b, &err), -1, "a pipe, which must not hold us");
    unlink(path);
    memset(junk, 0xff, sizeof junk);
    spill(path, junk, sizeof junk);
    cr_assert_eq(lw_chart_open(path, &b, &err), -1);
    memset(junk, 0, sizeof junk);
    spill(path, junk, sizeof junk);
    cr_assert_eq(lw_chart_open(path, &b, &err), -1);
}

Test(cache, a_folder_that_is_not_there)
{
    struct lw_chart *a = sample();
    struct lw_error err = {""};

    cr_assert_eq(lw_chart_save(a, "/nowhere/at/all", &err), -1);
    cr_assert_not_null(strstr(err.text, "/nowhere/at/all"));
    lw_chart_free(a);
}
