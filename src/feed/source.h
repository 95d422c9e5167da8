/* What a position source says, one thing at a time, and the shape that gpsd and a recorded file
 * share so that feed.c treats them alike. */
#ifndef LW_FEED_SOURCE_H
#define LW_FEED_SOURCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/event/position.h"
#include "lipwalk/feed/nmea.h"

struct lw_said {
    bool has_part; /* `part` belongs to an epoch */
    struct lw_fix part;
    struct lw_nmea sentence; /* kind LW_NMEA_BAD: none */
    double depth_m;          /* decoded by gpsd, below the transducer; NaN */
    double heading_deg;      /* decoded by gpsd, true; NaN */
};
void lw_said_clear(struct lw_said *said);

struct lw_source;
struct lw_source_ops {
    void (*close)(struct lw_source *source);
    int (*fd)(const struct lw_source *source);              /* as lw_feed_fd */
    int64_t (*deadline_ms)(const struct lw_source *source); /* INT64_MAX: none */
    /* The next thing said; false when there is none now. Never blocks. */
    bool (*next)(struct lw_source *source, int64_t mono_ms, struct lw_said *said);
    bool (*connected)(const struct lw_source *source);
    bool (*ended)(const struct lw_source *source); /* nothing will ever come again */
    void (*words)(const struct lw_source *source, int64_t mono_ms, char *to, size_t size);
};
struct lw_source {
    const struct lw_source_ops *ops;
    /* How long a silence ends an epoch whose next one has not begun: the shorter one when position
     * and speed are there. A 4800 baud receiver needs some 0.2 s for its sentences. */
    int64_t quiet_ms, quiet_part_ms;
};

int lw_gpsd_open(const char *host, const char *port, struct lw_source **out, struct lw_error *err);
int lw_replay_open(const char *path, double speedup, struct lw_source **out, struct lw_error *err);

#endif
