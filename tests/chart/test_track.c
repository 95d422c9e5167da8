/* Which of a boat's depths are spikes: made tracks, where that is known, and an outside one. */
#include <criterion/criterion.h>

#include "track_day.h"

TestSuite(track, .timeout = 30);

struct score {
    size_t spikes, missed, good, lost;
};

/* Runs over lip and drop; a share of the depths is replaced by second echoes, ringing and nothing,
 * in runs of up to `longest`. */
static struct score score_of(uint64_t seed, double share, int longest, double step_m)
{
    struct analytic lake = analytic_easy();
    struct lw_frame frame = {{46, -89.7}};
    struct lw_track track = {.stage_m = NAN};
    struct day day = day_plain(seed);
    struct score score = {0};
    bool *keep, *spike;

    day.spikes = 0;
    day.step_m = step_m;
    day_zigzag(&day, &lake, &frame, 60, 1140, &track);
    keep = calloc(track.n, sizeof *keep);
    spike = calloc(track.n, sizeof *spike);
    for (size_t i = 0; i < track.n;) {
        int length = 1 + (int)(longest * analytic_uniform(&day.seed));
        double luck = analytic_uniform(&day.seed) * (longest + 1) / 2 / share;
        int kind = (int)(3 * analytic_uniform(&day.seed));

        for (int k = 0; luck < 1 && k < length && i < track.n; k++, i++) {
            double z = track.p[i].depth_m;

            track.p[i].depth_m = kind == 0   ? 2 * z
                                 : kind == 1 ? 0.5 + 0.1 * analytic_uniform(&day.seed)
                                             : 0;
            spike[i] = fabs(track.p[i].depth_m - z) > 1.2;
        }
        i++;
    }
    cr_assert_geq(lw_track_clean(&track, keep), 0);
    for (size_t i = 0; i < track.n; i++) {
        score.spikes += spike[i];
        score.missed += spike[i] && keep[i];
        score.good += !spike[i] && track.p[i].depth_m > 0.7;
        score.lost += !spike[i] && track.p[i].depth_m > 0.7 && !keep[i];
    }
    free(keep);
    free(spike);
    lw_track_free(&track);
    return score;
}

Test(track, leaves_spikes_out_and_the_bottom_in)
{
    static const struct {
        double share;
        int longest;
        double step_m, most_missed;
    } cases[] = {{0, 1, 1.2, 0},
                 {0.2, 1, 1.2, 0.02},
                 {0.2, 1, 0.5, 0.02},
                 /* in two metres of water eight second echoes in a row look like a hole */
                 {0.2, 8, 1.2, 0.10}};

    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct score s = score_of(i + 1, cases[i].share, cases[i].longest, cases[i].step_m);

        if (cases[i].share > 0)
            cr_assert_gt(s.spikes, 100);
        cr_assert_leq((double)s.missed, cases[i].most_missed * (double)s.spikes);
        cr_assert_leq((double)s.lost, 0.02 * (double)s.good);
    }
}

/* A wall of 15 m stays: both sides of it are bottom. */
Test(track, keeps_both_sides_of_a_wall)
{
    struct lw_frame frame = {{46, -89.7}};
    struct lw_track track = {.stage_m = NAN};
    bool keep[400];

    for (int i = 0; i < 400; i++)
        lw_track_add(&track,
                     (struct lw_track_sounding){lw_frame_to_ll(&frame, (struct lw_en){1.2 * i, 0}),
                                                1000 * i, i < 200 ? 3 : 18});
    cr_assert_eq(lw_track_clean(&track, keep), 400);
    track.p[5].at.lat_deg = NAN;
    track.p[6].depth_m = NAN;
    track.p[7].depth_m = INFINITY;
    track.p[8].depth_m = -3;
    cr_assert_eq(lw_track_clean(&track, keep), 396);
    track.n = 0;
    cr_assert_eq(lw_track_clean(&track, keep), 0);
    lw_track_free(&track);
}

/* A boat under way off British Columbia over 64 to 104 m: 360 of its 1011 depths lie between 0.5
 * and 5.4 m, in runs of up to 57, which is the sounder's own ringing. Counted in the file itself.
 */
Test(track, outside_track_without_its_ringing)
{
    char path[300], *text, *at;
    struct lw_track track = {.stage_m = NAN};
    size_t deep = 0, deep_kept = 0, shallow_kept = 0, length;
    bool *keep;
    FILE *file;

    lw_test_data(path, sizeof path, "tracks/track-with-depth.geojson");
    file = fopen(path, "r");
    cr_assert_not_null(file);
    text = calloc(1, 300000);
    length = fread(text, 1, 299999, file);
    fclose(file);
    cr_assert_gt(length, 100000);
    for (at = text; (at = strstr(at, "\"coordinates\": [")) != NULL;) {
        struct lw_track_sounding s = {{NAN, NAN}, 0, NAN};

        cr_assert_eq(sscanf(at, "\"coordinates\": [%lf, %lf", &s.at.lon_deg, &s.at.lat_deg), 2);
        at = strstr(at, "\"depth\": ");
        cr_assert_not_null(at);
        cr_assert_eq(sscanf(at, "\"depth\": %lf", &s.depth_m), 1);
        lw_track_add(&track, s);
    }
    cr_assert_eq(track.n, 1011);
    keep = calloc(track.n, sizeof *keep);
    lw_track_clean(&track, keep);
    for (size_t i = 0; i < track.n; i++) {
        deep += track.p[i].depth_m > 50;
        deep_kept += keep[i] && track.p[i].depth_m > 50;
        shallow_kept += keep[i] && track.p[i].depth_m < 50;
    }
    cr_assert_eq(shallow_kept, 0);
    cr_assert_geq((double)deep_kept, 0.98 * (double)deep);
    free(keep);
    free(text);
    lw_track_free(&track);
}
