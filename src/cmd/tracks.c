/* The boat's own depths: from journals and from files. */
#include "tracks.h"

#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "lipwalk/base/array.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "lipwalk/journal/journal.h"
#include "lipwalk/trip/trip.h"

/* A journal's positions are the caster's at the bow, where a bow motor's transducer is as well; one
 * at the stern is some metres off. Common practice, no source. A position older than this is not
 * where the sounder was. */
#define FRESH_S 2.0

struct one_trip {
    char id[24];
    struct lw_trip *fold; /* its marks and settings; tracks stay outside, they are many */
    struct lw_track track;
};
struct reading {
    struct one_trip *trip; /* trip[trips], as they begin in the journal */
    size_t trips, cap;
    bool no_memory;
};

static struct one_trip *trip_of(struct reading *reading, const struct lw_event *event)
{
    static const struct lw_trip_rules rules = {.day_end_utc_ms = INT64_MAX};
    struct one_trip *trip;

    for (size_t i = reading->trips; i-- > 0;)
        if (strcmp(reading->trip[i].id, event->trip) == 0)
            return &reading->trip[i];
    if (lw_array_room(&reading->trip, reading->trips, &reading->cap))
        return NULL;
    trip = &reading->trip[reading->trips];
    *trip = (struct one_trip){.fold = lw_trip_new(&rules), .track = {.stage_m = NAN}};
    if (!trip->fold)
        return NULL;
    reading->trips++;
    lw_text_copy(trip->id, sizeof trip->id, event->trip);
    lw_text_copy(trip->track.name, sizeof trip->track.name, "of ");
    lw_clock_local(trip->track.name + 3, sizeof trip->track.name - 3, event->at_utc_ms,
                   "%Y-%m-%d %H:%M");
    return trip;
}

static int take(void *context, const struct lw_event *event)
{
    struct reading *reading = context;
    const struct lw_ev_track *track = &event->u.track;
    struct one_trip *trip = trip_of(reading, event);

    if (!trip) {
        reading->no_memory = true;
        return 1;
    }
    if (event->kind == LW_EV_MARK || event->kind == LW_EV_SETTING || event->kind == LW_EV_UNDO)
        lw_trip_apply(trip->fold, event);
    if (event->kind != LW_EV_TRACK || isnan(track->depth_m) || track->where.age_s > FRESH_S)
        return 0;
    reading->no_memory = lw_track_add(&trip->track,
                                      (struct lw_track_sounding){track->where.at, event->at_utc_ms,
                                                                 track->depth_m}) != 0;
    return reading->no_memory;
}

/* The map shift in force when the trip was left: what the crew found to be right in the end. */
static struct lw_en shift_of(const struct lw_trip *trip)
{
    double e_m = lw_trip_setting(trip, "shift_e_m"), n_m = lw_trip_setting(trip, "shift_n_m");

    return (struct lw_en){isnan(e_m) ? 0 : e_m, isnan(n_m) ? 0 : n_m};
}

static struct lw_ll shifted(struct lw_ll at, struct lw_en shift)
{
    struct lw_frame frame = {at};

    return lw_ll_known(at) ? lw_frame_to_ll(&frame, shift) : at;
}

static int cover_of(enum lw_mark_kind kind)
{
    return kind == LW_MARK_ROCK ? LW_COVER_ROCK : kind == LW_MARK_WEED ? LW_COVER_WEED : -1;
}

static int add_cover(const struct lw_trip *trip, struct lw_en shift, struct tracks *out)
{
    size_t n;
    const struct lw_mark *mark = lw_trip_marks(trip, &n);

    for (size_t i = 0; i < n; i++) {
        const struct lw_ev_mark *m = &mark[i].m;
        struct lw_ll at = lw_ll_known(m->bait) ? m->bait : m->where.at;
        int kind = cover_of(m->kind);

        if (mark[i].undone || kind < 0 || !lw_ll_known(at))
            continue;
        if (lw_array_room(&out->crew, out->crews, &out->crew_cap))
            return -1;
        out->crew[out->crews++] = (struct lw_crew_cover){shifted(at, shift),
                                                         (enum lw_cover_kind)kind};
    }
    return 0;
}

/* Moves the trips' tracks and cover into `out`. */
static int hand_over(struct reading *reading, struct tracks *out)
{
    for (size_t i = 0; i < reading->trips; i++) {
        struct one_trip *trip = &reading->trip[i];
        struct lw_en shift = shift_of(trip->fold);

        if (add_cover(trip->fold, shift, out))
            return -1;
        for (size_t k = 0; k < trip->track.n && (shift.e_m != 0 || shift.n_m != 0); k++)
            trip->track.p[k].at = shifted(trip->track.p[k].at, shift);
        if (trip->track.n == 0)
            continue;
        if (lw_array_room(&out->track, out->tracks, &out->track_cap))
            return -1;
        out->track[out->tracks++] = trip->track;
        trip->track = (struct lw_track){0};
    }
    return 0;
}

static void __attribute__((format(printf, 2, 3))) note(struct tracks *out, const char *format, ...)
{
    char text[600];
    va_list args;

    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    if (out->notes < (int)(sizeof out->note / sizeof *out->note))
        lw_text_clean(out->note[out->notes++], sizeof out->note[0], text);
}

static int read_journal(const char *path, struct tracks *out, struct lw_error *err)
{
    static const enum lw_event_kind kinds[] = {LW_EV_TRACK, LW_EV_MARK, LW_EV_SETTING, LW_EV_UNDO};
    struct reading reading = {0};
    int bad = 0, status = -1;
    size_t crews = out->crews, tracks = out->tracks;

    if (lw_journal_scan(path, kinds, sizeof kinds / sizeof *kinds, take, &reading, &bad, err) < 0)
        goto done;
    if (reading.no_memory || hand_over(&reading, out)) {
        lw_fail(err, "out of memory for the tracks of the journal %s", path);
        goto done;
    }
    if (out->tracks == tracks && out->crews == crews)
        note(out, "the journal %s holds no depths", path);
    if (bad)
        note(out, "%d events of the journal %s could not be read and were passed over", bad, path);
    status = 0;
done:
    for (size_t i = 0; i < reading.trips; i++) {
        lw_trip_free(reading.trip[i].fold);
        lw_track_free(&reading.trip[i].track);
    }
    free(reading.trip);
    return status;
}

static int read_file(const struct lw_map_file *file, struct tracks *out, struct lw_error *err)
{
    struct lw_track track = {.stage_m = NAN};
    struct lw_error why = {""};

    if (lw_array_room(&out->track, out->tracks, &out->track_cap))
        return lw_fail(err, "out of memory for the track %s", file->path);
    if (lw_track_read(file, &track, &why)) {
        if (strstr(why.text, "give --")) /* what is said of the maps is not taken for a track */
            return lw_fail(err, "%s; for a track with its name before the value, %.100s=VALUE",
                           why.text, lw_text_file_name(file->path));
        return lw_fail(err, "%s", why.text);
    }
    out->track[out->tracks++] = track;
    return 0;
}

int tracks_read(const struct lw_map_args *args, struct tracks *out, struct lw_error *err)
{
    memset(out, 0, sizeof *out);
    for (int i = 0; i < args->track.n; i++) {
        const char *path = args->track.text[i];
        struct stat is;

        if (access(path, R_OK) || stat(path, &is))
            return lw_fail(err, "--add-track %s cannot be read: %s", path, strerror(errno));
        if (!S_ISREG(is.st_mode))
            return lw_fail(err, "--add-track %s is no file", path);
        /* by its name: to look into the file would mean to open and close it, see
         * lw_journal_scan */
        if (lw_track_is(path) ? read_file(&args->track_file[i], out, err)
                              : read_journal(path, out, err))
            return -1;
    }
    return 0;
}

void tracks_free(struct tracks *tracks)
{
    for (size_t i = 0; i < tracks->tracks; i++)
        lw_track_free(&tracks->track[i]);
    free(tracks->track);
    free(tracks->crew);
    memset(tracks, 0, sizeof *tracks);
}
