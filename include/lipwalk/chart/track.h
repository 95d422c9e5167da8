/* Depths that a boat's own sounder gave along its way, and what they say of the map: today's level
 * and a shift of the whole map. */
#ifndef LIPWALK_CHART_TRACK_H
#define LIPWALK_CHART_TRACK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/chart/chart.h"
#include "lipwalk/geo/point.h"

struct lw_track_sounding {
    struct lw_ll at; /* where the sounder was (the caller applies the antenna's offset) */
    int64_t at_utc_ms;
    double depth_m; /* below the surface; NaN: none */
};
struct lw_track {                /* one trip: one water level */
    struct lw_track_sounding *p; /* p[n], owned */
    size_t n, cap;
    char name[64];
    double stage_m; /* the level above the map's datum that day; NaN: measured against the map */
};
int lw_track_add(struct lw_track *track, struct lw_track_sounding sounding); /* -1: no memory */
void lw_track_free(struct lw_track *track);

struct lw_map_file;
/* Whether a file's name says that lw_track_read is for it (csv, gpx, geojson, ...). */
bool lw_track_is(const char *path);
/* Reads the places with a depth of a file (GPX, GeoJSON and other features, CSV and other tables),
 * in its order and without times, in a child process with limits, as chart/import.h does. `out` is
 * made anew; free it with lw_track_free. -1 with a sentence. */
int lw_track_read(const struct lw_map_file *file, struct lw_track *out, struct lw_error *err);

/* Marks spikes: keep[i] false for a depth that its neighbours in time and place contradict, that
 * has no place, or that no sounder gives (0 or less). Returns how many are kept, or -1 without
 * memory. */
long lw_track_clean(const struct lw_track *track, bool *keep);

/* What the sounder says of the level: the median of its depth minus the map's, spikes left out, a
 * cell counted once. A difference that grows with depth is not modelled: it shows in the spread. */
struct lw_stage_fit {
    double stage_m;     /* to add to the map's depths, beyond what the chart has already */
    double spread_m;    /* half the middle half's width: how far apart the differences lie */
    double error_m;     /* one sigma of stage_m, neighbours on the way counted as one */
    size_t places;      /* cells with a depth of both */
    double slope;       /* median slope of the bottom there, rise over run */
    double edge_move_m; /* stage_m / slope: how far it moves a contour there */
};
/* -1 with a sentence when the track and the chart share too little (under 30 cells). */
int lw_stage_fit(const struct lw_chart *chart, const struct lw_track *track,
                 struct lw_stage_fit *out, struct lw_error *err);

/* And of the map's place: the shift, of at most 30 m, and the level that bring both together best.
 * `clear` wants a shift of 2 m or more and of three times its own sigma, sounder and map nearer by
 * a tenth, and less than a chance of 1 in 1000 for that. What the track cannot tell (a shift along
 * a straight contour, any shift on one plain slope) has a sigma_m of up to those 30 m. */
struct lw_shift_fit {
    struct lw_en shift;               /* what to add to a fix to be on the map */
    double stage_m;                   /* found together with it */
    double sigma_m;                   /* one sigma of the shift, along its worse direction */
    double worse_deg;                 /* the bearing of that direction */
    double rms_before_m, rms_after_m; /* of the depths, the level taken off in both */
    size_t places;
    bool clear; /* worth proposing: better than chance and than its own sigma */
};
int lw_shift_fit(const struct lw_chart *chart, const struct lw_track *track,
                 struct lw_shift_fit *out, struct lw_error *err);

#endif
