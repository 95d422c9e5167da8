/* Recorded files through the whole feed. Two real recordings are held against gpsd's own decoded
 * answers (*.log.chk, JSON lines of gpsd's regression tests). */
#include "lipwalk/feed/feed.h"

#include "lipwalk/base/clock.h"
#include "lipwalk/feed/nmea.h"
#include "lw_test.h"
#include <math.h>

static double member(const char *json, const char *name)
{
    char key[40];
    const char *at;

    snprintf(key, sizeof key, "\"%s\":", name);
    at = strstr(json, key);
    return at ? atof(at + strlen(key)) : NAN;
}

/* gpsd's words on each epoch: its TPV lines with the same time, merged; and every place it gave,
 * since it answers after GLL and again, a little farther on, after RMC. */
#define EPOCHS 400
#define PLACES 32
struct answer {
    int64_t at_utc_ms;
    int places;
    struct lw_ll place[PLACES];
    double speed, track, depth, rel_mps, rel_deg, true_mps, true_deg;
};
static void keep(double *to, double value)
{
    if (!isnan(value))
        *to = value;
}
static int read_answers(const char *path, struct answer *answers, bool timed)
{
    FILE *file = fopen(path, "r");
    char *line = NULL;
    size_t cap = 0;
    int n = 0;

    cr_assert_not_null(file);
    while (getline(&line, &cap, file) > 0) {
        const char *time = strstr(line, "\"time\":\"");
        int64_t utc = 0;
        struct answer *a;

        if (strncmp(line, "{\"class\":\"TPV\"", 14) != 0 || (timed && !time))
            continue;
        if (time) {
            char text[32];

            snprintf(text, sizeof text, "%.24s", time + 8);
            cr_assert(lw_clock_from_iso(text, &utc), "%s", text);
        }
        if (n == 0 || !timed || answers[n - 1].at_utc_ms != utc) {
            cr_assert_lt(n, EPOCHS);
            answers[n] = (struct answer){utc, 0, {{0, 0}}, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
            n++;
        }
        a = &answers[n - 1];
        if (a->places < PLACES)
            a->place[a->places++] = (struct lw_ll){member(line, "lat"), member(line, "lon")};
        keep(&a->speed, member(line, "speed"));
        keep(&a->track, member(line, "track"));
        keep(&a->depth, member(line, "depth"));
        keep(&a->rel_mps, member(line, "wspeedr"));
        keep(&a->rel_deg, member(line, "wangler"));
        keep(&a->true_mps, member(line, "wspeedt"));
        keep(&a->true_deg, member(line, "wanglet"));
    }
    free(line);
    fclose(file);
    return n;
}

static bool same_place(const struct answer *a, struct lw_ll at)
{
    for (int i = 0; i < a->places; i++) {
        if (fabs(a->place[i].lat_deg - at.lat_deg) < 2e-9 &&
            fabs(a->place[i].lon_deg - at.lon_deg) < 2e-9)
            return true;
    }
    return false;
}

static struct lw_feed *open_at(const char *path, double speedup)
{
    struct lw_feed *feed;
    struct lw_error err = {""};
    struct lw_feed_options options = {0};

    cr_assert_eq(lw_feed_open_replay(path, speedup, &options, &feed, &err), 0, "%s", err.text);
    return feed;
}

#define SAME(got, want, tol, what)                                                                 \
    do {                                                                                           \
        if (!isnan(want)) {                                                                        \
            cr_assert_float_eq(got, want, tol, "%s at epoch %d: %.9g, gpsd says %.9g", what, i,    \
                               got, want);                                                         \
            compared++;                                                                            \
        }                                                                                          \
    } while (0)

/* What must be compared at least, so that a parser of answers that finds nothing cannot pass. */
Test(replay, a_boat_as_gpsd_decodes_it)
{
    char log[512], chk[512];
    static struct answer answers[EPOCHS];
    struct lw_feed *feed;
    int n, i = 0, compared = 0, met = 0;

    lw_test_data(log, sizeof log, "nmea/boat-wind-depth-a.log");
    lw_test_data(chk, sizeof chk, "nmea/boat-wind-depth-a.log.chk");
    n = read_answers(chk, answers, true);
    feed = open_at(log, INFINITY);
    while (!lw_feed_ended(feed)) {
        const struct lw_fix *fix = lw_feed_fix(feed);
        const struct lw_readings *r = lw_feed_readings(feed);
        const struct answer *a = NULL;

        if (!lw_feed_step(feed, 5000))
            continue;
        for (i = 0; i < n && !a; i++)
            a = answers[i].at_utc_ms == fix->at_utc_ms ? &answers[i] : NULL;
        if (!a)
            continue; /* gpsd gave the first epoch no time: no date was known yet */
        met++;
        cr_assert(same_place(a, fix->at), "epoch %d: %.9f %.9f", i, fix->at.lat_deg,
                  fix->at.lon_deg);
        /* Where RMC had not come yet gpsd makes a speed and track up from two places; those of a
         * sentence have one decimal. */
        if (fabs(a->track * 10.0 - round(a->track * 10.0)) < 1e-6) {
            SAME(fix->sog_mps, a->speed, 6e-4, "speed");
            SAME(fix->cog_deg, a->track, 1e-3, "track");
        }
        /* gpsd gives what the sounder measures; its transducer is 0.4 m under the surface */
        SAME(r->depth_m.value - 0.4, a->depth, 1e-6, "depth");
        SAME(r->rel_wind_mps.value, a->rel_mps, 0.051, "relative wind speed");
        SAME(r->rel_wind_deg.value, a->rel_deg, 1e-6, "relative wind");
        SAME(r->wind_mps.value, a->true_mps, 0.051, "true wind speed");
        SAME(r->wind_from_deg.value, a->true_deg, 1e-6, "true wind");
    }
    cr_log_info("%d of %d epochs, %d values\n", met, n, compared);
    cr_assert_eq(met, n);
    cr_assert_geq(n, 140);
    cr_assert_geq(compared, 4 * 140);
    lw_feed_close(feed);
}

/* Only GLL: no date at all, and DBT that gpsd does not report without one. */
Test(replay, a_sounder_as_gpsd_decodes_it)
{
    char log[512], chk[512];
    static struct answer answers[EPOCHS];
    struct lw_feed *feed;
    int n, i = 0;

    lw_test_data(log, sizeof log, "nmea/depth-sounder-c.log");
    lw_test_data(chk, sizeof chk, "nmea/depth-sounder-c.log.chk");
    n = read_answers(chk, answers, false);
    feed = open_at(log, INFINITY);
    while (!lw_feed_ended(feed)) {
        if (!lw_feed_step(feed, 5000))
            continue;
        cr_assert_lt(i, n);
        cr_assert(same_place(&answers[i], lw_feed_fix(feed)->at));
        cr_assert_eq(lw_feed_fix(feed)->mode, 2);
        if (i++ == 0) /* 16:43:26 of no known day */
            cr_assert_eq(lw_feed_fix(feed)->at_utc_ms, ((16 * 60 + 43) * 60 + 26) * 1000);
    }
    cr_assert_eq(i, n);
    cr_assert_eq(n, 122);
    lw_feed_close(feed);
}

/* --- files written here --- */
struct file {
    char dir[200], path[256];
    FILE *f;
};
static void begin(struct file *file)
{
    lw_test_scratch(file->dir, sizeof file->dir);
    snprintf(file->path, sizeof file->path, "%s/a.nmea", file->dir);
    file->f = fopen(file->path, "wb");
    cr_assert_not_null(file->f);
}
static void put(struct file *file, const char *body, const char *end)
{
    char line[128];

    snprintf(line, sizeof line, "%s", body);
    cr_assert_gt(lw_nmea_seal(line, sizeof line), 0);
    line[strcspn(line, "\r\n")] = '\0';
    fprintf(file->f, "%s%s", line, end);
}
static void done(struct file *file)
{
    unlink(file->path);
    rmdir(file->dir);
}

/* All epochs' times as hh:mm:ss with day, in one text. */
static void epochs(const char *path, char *to, size_t size)
{
    struct lw_feed *feed = open_at(path, INFINITY);
    size_t n = 0;

    to[0] = '\0';
    while (!lw_feed_ended(feed)) {
        if (lw_feed_step(feed, 1) && n < size) {
            char iso[40];

            lw_clock_iso(iso, sizeof iso, lw_feed_fix(feed)->at_utc_ms);
            n += (size_t)snprintf(to + n, size - n, "%s ", iso);
        }
    }
    lw_feed_close(feed);
}

Test(replay, midnight_with_and_without_a_date)
{
    struct file file;
    char text[400];

    begin(&file);
    put(&file, "$GPGGA,235959,4612.0,N,09338.0,W,1,09,0.9,381.2,M,,M,,", "\r\n");
    put(&file, "$GPGGA,000000,4612.0,N,09338.0,W,1,09,0.9,381.2,M,,M,,", "\r\n");
    put(&file, "$GPRMC,000000,A,4612.0,N,09338.0,W,1.0,90.0,120524,,,A", "\r\n");
    put(&file, "$GPGGA,000001,4612.0,N,09338.0,W,1,09,0.9,381.2,M,,M,,", "\r\n");
    fclose(file.f);
    epochs(file.path, text, sizeof text);
    cr_assert_str_eq(text, "2024-05-11T23:59:59Z 2024-05-12T00:00:00Z 2024-05-12T00:00:01Z ");
    done(&file);

    begin(&file);
    put(&file, "$GPGLL,4612.0,N,09338.0,W,235958,A", "\n");
    put(&file, "$GPGLL,4612.0,N,09338.0,W,000001,A", "\n");
    put(&file, "$GPGLL,4612.0,N,09338.0,W,000002,A", "\n");
    fclose(file.f);
    epochs(file.path, text, sizeof text);
    cr_assert_str_eq(text, "1970-01-01T23:59:58Z 1970-01-02T00:00:01Z 1970-01-02T00:00:02Z ");
    done(&file);
}

Test(replay, junk_between_and_cr_only)
{
    struct file file;
    char text[400];

    begin(&file);
    fputs("# a comment\r\r", file.f);
    fwrite("\xb5\x62\x01\x07\0\0$\xff\r", 1, 9, file.f);
    put(&file, "$GPRMC,120000,A,4612.0,N,09338.0,W,1.0,90.0,120524,,,A", "\r");
    fwrite("\0\0\xfe", 1, 3, file.f);
    put(&file, "$GPRMC,120001,A,4612.0,N,09338.0,W,1.0,90.0,120524,,,A", "\r");
    fputs("$GPRMC,120002,A,4612.0,N,09338.0,W,1.0,90.0,120524,,,A*00\r", file.f);
    fputs("2024-05-12 12:00:03 ", file.f);
    put(&file, "$GPRMC,120003,A,4612.0,N,09338.0,W,1.0,90.0,120524,,,A", "\r");
    for (int i = 0; i < 5000; i++)
        fputc('x', file.f);
    fputc('\r', file.f);
    put(&file, "$GPRMC,120004,A,4612.0,N,09338.0,W,1.0,90.0,120524,,,A", "");
    fclose(file.f);
    epochs(file.path, text, sizeof text);
    cr_assert_str_eq(text, "2024-05-12T12:00:00Z 2024-05-12T12:00:01Z 2024-05-12T12:00:03Z "
                           "2024-05-12T12:00:04Z ");
    done(&file);
}

Test(replay, no_file_no_sentences)
{
    struct file file;
    struct lw_feed *feed = NULL;
    struct lw_error err = {""};

    cr_assert_eq(lw_feed_open_replay("/nowhere/a.nmea", 1, NULL, &feed, &err), -1);
    cr_assert_not_null(strstr(err.text, "/nowhere/a.nmea"));
    cr_assert_eq(lw_feed_open_replay("/", 1, NULL, &feed, &err), -1);
    begin(&file);
    fputs("{\"type\":\"FeatureCollection\"}\n", file.f);
    fclose(file.f);
    cr_assert_eq(lw_feed_open_replay(file.path, 1, NULL, &feed, &err), -1);
    cr_assert_not_null(strstr(err.text, "NMEA 0183"));
    cr_assert_null(feed);
    done(&file);
}

/* Time as the file tells it: paced, stale in a gap, no fix said, never a guess. */
Test(replay, paced_stale_and_no_fix)
{
    struct file file;
    struct lw_feed *feed;
    char words[200];

    begin(&file);
    for (int s = 0; s < 4; s++) {
        char body[100];

        snprintf(body, sizeof body, "$GPRMC,1200%02d,A,4612.0,N,09338.0,W,0.0,,120524,,,A", s);
        put(&file, body, "\r\n");
    }
    put(&file, "$GPRMC,120020,A,4612.0,N,09338.0,W,0.0,,120524,,,A", "\r\n");
    put(&file, "$GPRMC,120021,V,,,,,,,120524,,,N", "\r\n");
    fclose(file.f);
    feed = open_at(file.path, 2.0); /* twice as fast: half a second an epoch */
    cr_assert_eq(lw_feed_estimate(feed, 1000).state, LW_FIX_NONE);
    cr_assert_leq(lw_feed_deadline_ms(feed), 1000);
    cr_assert_not(lw_feed_step(feed, 1000) && lw_feed_step(feed, 1000), "one epoch, not more");
    cr_assert_eq(lw_feed_estimate(feed, 1001).state, LW_FIX_2D);
    cr_assert_eq(lw_feed_deadline_ms(feed), 1500);
    cr_assert(lw_feed_step(feed, 1500));
    while (lw_feed_step(feed, 2500)) {
    }
    cr_assert_eq(lw_feed_fix(feed)->at_utc_ms % 60000, 3000);
    /* 2.5 epochs of a second from the last one at 2500 */
    cr_assert_eq(lw_feed_estimate(feed, 5000).state, LW_FIX_2D);
    cr_assert_eq(lw_feed_estimate(feed, 5001).state, LW_FIX_STALE);
    lw_feed_words(feed, 7500, words, sizeof words);
    cr_assert_not_null(strstr(words, "no position for 5 s"), "%s", words);
    cr_assert_eq(lw_feed_deadline_ms(feed), 5001, "going stale is worth a look");
    cr_assert_not(lw_feed_step(feed, 5001));
    cr_assert_eq(lw_feed_deadline_ms(feed), 11000);
    cr_assert(lw_feed_step(feed, 11000));
    cr_assert_eq(lw_feed_estimate(feed, 11000).state, LW_FIX_2D);
    while (lw_feed_step(feed, 11500)) {
    }
    cr_assert_eq(lw_feed_estimate(feed, 11500).state, LW_FIX_NONE);
    cr_assert(lw_feed_ended(feed));
    lw_feed_close(feed);
    done(&file);
}
