/* A position source from end to end: gpsd or a recorded file, through epochs and the filter.
 *
 * Never blocks: gpsd is opened in a worker thread (gps_open blocks); when it is gone the feed says
 * so and tries again by itself, after 0.5 s, then 1, 2, 4, at most 5 s. */
#ifndef LIPWALK_FEED_FEED_H
#define LIPWALK_FEED_FEED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/event/position.h"

struct lw_feed;

struct lw_feed_options {
    double variation_deg; /* for a magnetic heading when the sentence has none; + east */
};

/* Begins to connect to gpsd (port is a decimal number) and returns at once: -1 only when no thread
 * or descriptor is to be had; whether gpsd answers is told by lw_feed_estimate and lw_feed_words.
 */
int lw_feed_open_gpsd(const char *host, const char *port, const struct lw_feed_options *options,
                      struct lw_feed **out, struct lw_error *err);
/* A recorded NMEA 0183 file. Its time is the file's own: utc of the estimate comes from the
 * sentences. speedup 1 plays in real time, INFINITY as fast as it is read. */
int lw_feed_open_replay(const char *path, double speedup, const struct lw_feed_options *options,
                        struct lw_feed **out, struct lw_error *err);
/* Ends it without waiting for a connect that hangs; NULL is no fault. */
void lw_feed_close(struct lw_feed *feed);

/* What to poll() for reading; -1 when there is nothing to wait on. It can change at each step. */
int lw_feed_fd(const struct lw_feed *feed);
/* Latest mono time by which lw_feed_step wants to be called again. */
int64_t lw_feed_deadline_ms(const struct lw_feed *feed);

/* Takes in what has arrived, at most up to the end of one epoch. Returns true when an epoch was
 * finished (call again: there may be more), false when drained. */
bool lw_feed_step(struct lw_feed *feed, int64_t mono_ms);
bool lw_feed_ended(const struct lw_feed *feed); /* a replay's file is at its end */

/* The answer as of mono_ms: lost, none, stale (max(2 s, 2.5 epochs) without a new one), 2d or 3d.
 * When not 2d or 3d the position in it is the last known one, for its age; never for guidance. */
struct lw_estimate lw_feed_estimate(const struct lw_feed *feed, int64_t mono_ms);
/* The sensors' last values with the moment each was seen; valid until the next step. */
const struct lw_readings *lw_feed_readings(const struct lw_feed *feed);
const struct lw_fix *
lw_feed_fix(const struct lw_feed *feed); /* the last merged epoch, unfiltered */
/* Where it comes from and how it fares, in words: "gpsd at localhost:2947: connection refused, next
 * try in 2 s". */
void lw_feed_words(const struct lw_feed *feed, int64_t mono_ms, char *to, size_t size);

#endif
