/* A cache file comes back as it was, and no damage to it gets past the reader. */
#include "lw_test.h"

#include <fcntl.h>
#include <math.h>
#include <sys/stat.h>

#include "lipwalk/base/text.h"
#include "lipwalk/chart/chart.h"

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
    cr_assert_str_eq(b->lake, "Tarn Pool");
    cr_assert_str_eq(b->source, "/maps/tarn.gpkg");
    cr_assert_str_eq(b->crs, "EPSG:4326 (WGS 84)");
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
