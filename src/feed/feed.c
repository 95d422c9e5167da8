#include "lipwalk/feed/feed.h"

#include <math.h>
#include <stdlib.h>

#include "lipwalk/base/text.h"
#include "lipwalk/feed/epoch.h"
#include "lipwalk/feed/filter.h"
#include "sensors.h"
#include "source.h"

#define STALE_MIN_MS 2000
#define STALE_EPOCHS 2.5
/* Epochs nearer or farther apart than these are strays or gaps, not the receiver's beat. */
#define INTERVAL_MIN_MS 20
#define INTERVAL_MAX_MS 5000

struct lw_feed {
    struct lw_source *source;
    struct lw_epoch epoch;
    struct lw_filter filter;
    struct lw_sensors sensors;
    struct lw_estimate estimate;
    struct lw_fix fix;  /* the last merged epoch */
    double interval_ms; /* learnt; NaN */
    bool fixed;         /* the last epoch had a fix, and it came over this connection */
    bool drained;
    int64_t step_mono_ms; /* of the last step */
};

static int open_feed(struct lw_source *source, const struct lw_feed_options *options,
                     struct lw_feed **out, struct lw_error *err)
{
    struct lw_feed *feed = calloc(1, sizeof *feed);
    struct lw_filter_rules rules;
    struct lw_said nothing;

    if (!feed) {
        source->ops->close(source);
        return lw_fail(err, "position: out of memory");
    }
    feed->source = source;
    lw_epoch_clear(&feed->epoch);
    lw_filter_rules_default(&rules);
    lw_filter_clear(&feed->filter, &rules);
    lw_sensors_clear(&feed->sensors, options ? options->variation_deg : 0.0);
    lw_said_clear(&nothing);
    feed->fix = nothing.part;
    feed->interval_ms = NAN;
    feed->estimate = (struct lw_estimate){.state = LW_FIX_LOST,
                                          .at = {NAN, NAN},
                                          .sigma_m = NAN,
                                          .ve_mps = NAN,
                                          .vn_mps = NAN,
                                          .sog_mps = NAN,
                                          .cog_deg = NAN,
                                          .hdop = NAN};
    *out = feed;
    return 0;
}

int lw_feed_open_gpsd(const char *host, const char *port, const struct lw_feed_options *options,
                      struct lw_feed **out, struct lw_error *err)
{
    struct lw_source *source;

    *out = NULL;
    if (lw_gpsd_open(host, port, &source, err) != 0)
        return -1;
    return open_feed(source, options, out, err);
}

int lw_feed_open_replay(const char *path, double speedup, const struct lw_feed_options *options,
                        struct lw_feed **out, struct lw_error *err)
{
    struct lw_source *source;

    *out = NULL;
    if (lw_replay_open(path, speedup, &source, err) != 0)
        return -1;
    return open_feed(source, options, out, err);
}

void lw_feed_close(struct lw_feed *feed)
{
    if (!feed)
        return;
    feed->source->ops->close(feed->source);
    free(feed);
}

int lw_feed_fd(const struct lw_feed *feed)
{
    return feed->source->ops->fd(feed->source);
}

static int64_t stale_ms(const struct lw_feed *feed)
{
    double epochs = isnan(feed->interval_ms) ? 0.0 : STALE_EPOCHS * feed->interval_ms;

    return epochs > STALE_MIN_MS ? (int64_t)epochs : STALE_MIN_MS;
}

static int64_t quiet_ms(const struct lw_feed *feed)
{
    return isnan(feed->epoch.run.sog_mps) ? feed->source->quiet_part_ms : feed->source->quiet_ms;
}

int64_t lw_feed_deadline_ms(const struct lw_feed *feed)
{
    int64_t at = feed->source->ops->deadline_ms(feed->source);

    int64_t stale = feed->estimate.seen_mono_ms + stale_ms(feed) + 1;

    if (!feed->drained)
        return 0;
    if (feed->fixed && stale > feed->step_mono_ms && stale < at)
        at = stale; /* so that going stale is seen when it happens */
    if (lw_epoch_ready(&feed->epoch)) {
        int64_t quiet = feed->epoch.run.seen_mono_ms + quiet_ms(feed);

        at = quiet < at ? quiet : at;
    }
    return at;
}

/* The receiver's beat, for how long a silence means that it is gone. */
static void learn_interval(struct lw_feed *feed, int64_t step_ms)
{
    if (step_ms < INTERVAL_MIN_MS || step_ms > INTERVAL_MAX_MS)
        return;
    if (isnan(feed->interval_ms))
        feed->interval_ms = (double)step_ms;
    else
        feed->interval_ms += 0.2 * ((double)step_ms - feed->interval_ms);
}

static void take_epoch(struct lw_feed *feed, const struct lw_fix *done)
{
    struct lw_estimate out = feed->estimate;

    if (feed->fix.at_utc_ms != 0)
        learn_interval(feed, done->at_utc_ms - feed->fix.at_utc_ms);
    feed->fix = *done;
    feed->fixed = done->mode >= 2 && lw_ll_known(done->at);
    lw_filter_step(&feed->filter, done, &out);
    if (out.at_utc_ms == done->at_utc_ms) /* else the fix was ignored */
        feed->estimate = out;
}

static void take_sensors(struct lw_feed *feed, const struct lw_said *said, int64_t mono_ms)
{
    struct lw_estimate now = lw_feed_estimate(feed, mono_ms);
    bool fresh = now.state >= LW_FIX_2D;

    if (said->sentence.kind != LW_NMEA_BAD)
        lw_sensors_take(&feed->sensors, &said->sentence, mono_ms, fresh ? now.ve_mps : NAN,
                        fresh ? now.vn_mps : NAN);
    lw_sensors_depth(&feed->sensors, said->depth_m, mono_ms);
    lw_sensors_heading(&feed->sensors, said->heading_deg, mono_ms);
}

bool lw_feed_step(struct lw_feed *feed, int64_t mono_ms)
{
    const struct lw_source_ops *ops = feed->source->ops;
    struct lw_said said;
    struct lw_fix done;

    feed->drained = false;
    feed->step_mono_ms = mono_ms;
    while (ops->next(feed->source, mono_ms, &said)) {
        take_sensors(feed, &said, mono_ms);
        if (said.has_part && lw_epoch_part(&feed->epoch, &said.part, &done)) {
            take_epoch(feed, &done);
            return true;
        }
    }
    if (!ops->connected(feed->source)) {
        lw_epoch_clear(&feed->epoch);
        feed->fixed = false;
    }
    if (lw_epoch_quiet(&feed->epoch, mono_ms, quiet_ms(feed), &done)) {
        take_epoch(feed, &done);
        return true;
    }
    feed->drained = true;
    return false;
}

bool lw_feed_ended(const struct lw_feed *feed)
{
    return feed->drained && feed->source->ops->ended(feed->source);
}

struct lw_estimate lw_feed_estimate(const struct lw_feed *feed, int64_t mono_ms)
{
    struct lw_estimate estimate = feed->estimate;

    if (!feed->source->ops->connected(feed->source))
        estimate.state = LW_FIX_LOST;
    else if (!feed->fixed || estimate.at_utc_ms == 0)
        estimate.state = LW_FIX_NONE;
    else if (mono_ms - estimate.seen_mono_ms > stale_ms(feed))
        estimate.state = LW_FIX_STALE;
    return estimate;
}

const struct lw_readings *lw_feed_readings(const struct lw_feed *feed)
{
    return &feed->sensors.readings;
}

const struct lw_fix *lw_feed_fix(const struct lw_feed *feed)
{
    return &feed->fix;
}

void lw_feed_words(const struct lw_feed *feed, int64_t mono_ms, char *to, size_t size)
{
    struct lw_estimate estimate = lw_feed_estimate(feed, mono_ms);
    double age_s = (double)(mono_ms - estimate.seen_mono_ms) / 1000.0;

    feed->source->ops->words(feed->source, mono_ms, to, size);
    if (estimate.state == LW_FIX_NONE && feed->fix.mode == 1)
        lw_text_add(to, size, ": the receiver sees too few satellites");
    else if (estimate.state == LW_FIX_STALE)
        lw_text_add(to, size, ": no position for %.0f s", age_s);
    else if (estimate.state == LW_FIX_2D)
        lw_text_add(to, size, ": 2-D only, height unknown");
}
