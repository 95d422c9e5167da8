/* A grid of 6000 by 2000 cells: memory, and the same contour as gdal_contour's. */
#include "lw_test.h"

#include <math.h>
#include <sys/resource.h>
#include <sys/wait.h>

#include "lipwalk/cmd/commands.h"

#define GRID_KB (6000L * 2000 * 4 / 1024)

/* A long bowl with a hump in it, drawn up by GDAL from 60 by 20 cells of 200 m. */
static void write_grid(const char *folder)
{
    char path[400], command[1600];
    FILE *file;

    snprintf(path, sizeof path, "%s/small.asc", folder);
    file = fopen(path, "w");
    cr_assert_not_null(file);
    fprintf(file, "ncols 60\nnrows 20\nxllcorner 500000\nyllcorner 5100000\ncellsize 200\n"
                  "NODATA_value -9999\n");
    for (int i = 0; i < 20; i++)
        for (int j = 0; j < 60; j++) {
            double r = hypot((i - 9.5) / 9.5, (j - 29.5) / 29.5);
            double hump = 6 * exp(-hypot(i - 9, j - 40) / 2);

            fprintf(file, "%.3f\n", r > 1.2 ? -9999 : fmax(0.1, 12 * (1 - r) + 1 - hump));
        }
    fclose(file);
    snprintf(command, sizeof command,
             "gdalwarp -q -s_srs EPSG:26915 -t_srs EPSG:26915 -r bilinear -ts 6000 2000 "
             "-ot Float32 -of GTiff '%s' '%s/big.tif' && gdal_contour -q -fl 5 '%s/big.tif' "
             "'%s/theirs.geojson' -f GeoJSON",
             path, folder, folder, folder);
    cr_assert_eq(system(command), 0);
}

/* `lipwalk chart` in a process of its own; the most memory that it or its child had, in KB. */
static long run_chart(const char *folder)
{
    struct rusage used;
    int how;
    pid_t pid = fork();

    cr_assert_geq(pid, 0);
    if (pid == 0) {
        static char map[400], out[400];
        char *words[] = {(char[]){"chart"},
                         map,
                         (char[]){"--depth-unit=m"},
                         (char[]){"--contour=5m"},
                         (char[]){"--out"},
                         out,
                         NULL};

        snprintf(map, sizeof map, "%s/big.tif", folder);
        snprintf(out, sizeof out, "%s/ours.geojson", folder);
        if (!freopen("/dev/null", "w", stdout))
            _exit(3);
        _exit(lw_cmd_chart(6, words));
    }
    cr_assert_eq(wait4(pid, &how, 0, &used), pid);
    cr_assert(WIFEXITED(how) && WEXITSTATUS(how) == 0);
    return used.ru_maxrss;
}

/* The length of all lines in metres, by ogrinfo. */
static double length_m(const char *folder, const char *name, const char *crs)
{
    char command[1200], text[100] = "";
    FILE *pipe;

    snprintf(command, sizeof command,
             "ogr2ogr -f GPKG '%s/%s.gpkg' '%s/%s.geojson' -s_srs %s -t_srs EPSG:26915 -nln l && "
             "ogrinfo -q '%s/%s.gpkg' -sql 'SELECT SUM(ST_Length(geom)) AS s FROM l' | grep 's ('",
             folder, name, folder, name, crs, folder, name);
    pipe = popen(command, "r");
    cr_assert_not_null(pipe);
    cr_assert_not_null(fgets(text, sizeof text, pipe), "%s", command);
    cr_assert_eq(pclose(pipe), 0);
    cr_assert_not_null(strchr(text, '='));
    return atof(strchr(text, '=') + 1);
}

Test(big_grid, contour_of_twelve_million_cells, .timeout = 120)
{
    char folder[300];
    long first_kb, second_kb;
    double ours_m, theirs_m;

#ifdef __SANITIZE_ADDRESS__
    cr_skip_test("what is measured is memory, which AddressSanitizer multiplies");
#endif
    lw_test_scratch(folder, sizeof folder);
    setenv("XDG_CACHE_HOME", folder, 1);
    setenv("XDG_CONFIG_HOME", folder, 1);
    write_grid(folder);
    first_kb = run_chart(folder);
    second_kb = run_chart(folder); /* from the cache */
    cr_assert_lt(first_kb, 200 * 1024 + 3 * GRID_KB, "%ld MB", first_kb / 1024);
    cr_assert_lt(second_kb, 200 * 1024 + 3 * GRID_KB, "%ld MB", second_kb / 1024);
    ours_m = length_m(folder, "ours", "EPSG:4326");
    theirs_m = length_m(folder, "theirs", "EPSG:26915");
    cr_assert_gt(theirs_m, 10000);
    cr_assert_float_eq(ours_m / theirs_m, 1, 0.005, "%g m, gdal_contour %g m", ours_m, theirs_m);
}
