/* Merging the parts of one epoch: the cases are those seen from a real gpsd, which reports one
 * epoch several times, each time with some fields missing. */
#include "lipwalk/feed/epoch.h"

#include "lw_test.h"
#include <math.h>

static struct lw_fix part(int64_t at_utc_ms, int mode, double lat, double sog, int64_t mono)
{
    struct lw_fix fix = {.at_utc_ms = at_utc_ms,
                         .seen_mono_ms = mono,
                         .mode = mode,
                         .at = {lat, isnan(lat) ? NAN : -90.0},
                         .sog_mps = sog,
                         .cog_deg = NAN,
                         .eph_m = NAN,
                         .hdop = NAN};

    return fix;
}

Test(epoch, missing_never_erases)
{
    struct lw_epoch epoch;
    struct lw_fix done;
    struct lw_fix b = part(1000, 0, NAN, 1.5, 40);

    lw_epoch_clear(&epoch);
    b.eph_m = 3.0;
    struct lw_fix parts[] = {part(1000, 3, 46.0, NAN, 10), b, part(1000, 2, 46.1, NAN, 50),
                             part(0, 0, NAN, NAN, 60)};
    for (int i = 0; i < 4; i++)
        cr_assert_not(lw_epoch_part(&epoch, &parts[i], &done));
    struct lw_fix next = part(2000, 3, 47.0, NAN, 1010);
    cr_assert(lw_epoch_part(&epoch, &next, &done));
    cr_assert_eq(done.at_utc_ms, 1000);
    cr_assert_eq(done.mode, 3);
    cr_assert_eq(done.seen_mono_ms, 60);
    cr_assert_float_eq(done.at.lat_deg, 46.1, 1e-12); /* the newer position */
    cr_assert_float_eq(done.sog_mps, 1.5, 1e-12);
    cr_assert_float_eq(done.eph_m, 3.0, 1e-12);
    /* nothing of the old epoch leaks into the new one */
    cr_assert(isnan(epoch.run.sog_mps));
    cr_assert(isnan(epoch.run.eph_m));
}

Test(epoch, quiet_gives_once_and_then_only_refines)
{
    struct lw_epoch epoch;
    struct lw_fix done;
    struct lw_fix a = part(1000, 3, 46.0, 1.0, 100);

    lw_epoch_clear(&epoch);
    cr_assert_not(lw_epoch_quiet(&epoch, 1000, 50, &done));
    lw_epoch_part(&epoch, &a, &done);
    cr_assert_not(lw_epoch_quiet(&epoch, 149, 50, &done));
    cr_assert(lw_epoch_quiet(&epoch, 150, 50, &done));
    cr_assert_eq(done.at_utc_ms, 1000);
    cr_assert_not(lw_epoch_quiet(&epoch, 300, 50, &done));
    struct lw_fix b = part(2000, 3, 46.0, 1.0, 1100);
    cr_assert_not(lw_epoch_part(&epoch, &b, &done), "given already, not twice");
    cr_assert(lw_epoch_quiet(&epoch, 1200, 50, &done));
    cr_assert_eq(done.at_utc_ms, 2000);
}

Test(epoch, no_position_is_not_quietly_given_but_no_fix_is)
{
    struct lw_epoch epoch;
    struct lw_fix done;
    struct lw_fix a = part(1000, 3, NAN, 1.0, 100), b = part(2000, 1, NAN, NAN, 1100);

    lw_epoch_clear(&epoch);
    lw_epoch_part(&epoch, &a, &done);
    cr_assert_not(lw_epoch_quiet(&epoch, 900, 50, &done));
    cr_assert_not(lw_epoch_part(&epoch, &b, &done), "an epoch without a position says nothing");
    cr_assert(lw_epoch_quiet(&epoch, 1200, 50, &done));
    cr_assert_eq(done.mode, 1);
}

Test(epoch, a_late_part_is_dropped_but_a_clock_step_starts_anew)
{
    struct lw_epoch epoch;
    struct lw_fix done;
    struct lw_fix now = part(5000, 3, 46.0, 1.0, 0), late = part(4000, 3, 40.0, 9.0, 1);

    lw_epoch_clear(&epoch);
    lw_epoch_part(&epoch, &now, &done);
    cr_assert_not(lw_epoch_part(&epoch, &late, &done));
    cr_assert_not(lw_epoch_part(&epoch, &late, &done));
    cr_assert_not(lw_epoch_part(&epoch, &now, &done)); /* so the two were strays */
    cr_assert_float_eq(epoch.run.at.lat_deg, 46.0, 1e-12);
    cr_assert_not(lw_epoch_part(&epoch, &late, &done));
    cr_assert_not(lw_epoch_part(&epoch, &late, &done));
    cr_assert(lw_epoch_part(&epoch, &late, &done), "three in a row: time stepped back");
    cr_assert_eq(done.at_utc_ms, 5000);
    cr_assert_eq(epoch.run.at_utc_ms, 4000);
    cr_assert_float_eq(epoch.run.at.lat_deg, 40.0, 1e-12);
}

/* 10 Hz, three parts an epoch: every epoch comes out once, in order. */
Test(epoch, ten_hertz)
{
    struct lw_epoch epoch;
    struct lw_fix done;
    int given = 0;

    lw_epoch_clear(&epoch);
    for (int i = 0; i < 100; i++) {
        for (int j = 0; j < 3; j++) {
            struct lw_fix p = part(1000000 + i * 100, 3, 46.0 + i * 1e-6, j == 1 ? 1.0 : NAN,
                                   i * 100 + j * 10);

            if (lw_epoch_part(&epoch, &p, &done)) {
                cr_assert_eq(done.at_utc_ms, 1000000 + given * 100);
                cr_assert_float_eq(done.sog_mps, 1.0, 1e-12);
                given++;
            }
        }
    }
    cr_assert_eq(given, 99);
}
