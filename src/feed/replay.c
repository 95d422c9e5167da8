/* A recorded NMEA 0183 file as a source: lines of any ending, junk between them, played in the time
 * that its sentences tell. */
#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "source.h"

#define LINE_MAX_BYTES 1024
#define DAY_S          86400.0
/* A longer gap in a recording (the file of two days, the hours in harbour) is not sat through: it
 * plays as GAP_PLAYED_MS. */
#define GAP_MAX_MS    (3600 * 1000)
#define GAP_PLAYED_MS (10 * 1000)
/* How long a GGA's 3-D counts for the RMC and GLL that cannot tell. */
#define MODE_HOLD_MS 10000

struct replay {
    struct lw_source source;
    FILE *file;
    char path[256];
    double speedup;
    bool ended;
    int64_t day;          /* days since 1970 of the last timed sentence */
    int64_t last_utc_ms;  /* of the last timed sentence; 0 none */
    int64_t clock_utc_ms; /* the file's time that fell on clock_mono_ms; 0 none */
    int64_t clock_mono_ms;
    int64_t gga_3d_utc_ms; /* when a GGA last said 3-D */
    int place_rank;        /* whose position the epoch at place_utc_ms has: see place_of */
    int64_t place_utc_ms;
    bool held; /* `said` was read but its time has not come */
    int64_t due_mono_ms;
    struct lw_said said;
};

static struct replay *replay_of(struct lw_source *source)
{
    return (struct replay *)source;
}

static const struct replay *replay_of_const(const struct lw_source *source)
{
    return (const struct replay *)source;
}

/* Reads up to a CR or LF; what does not fit is dropped. NULs become spaces so that a line of junk
 * does not hide the sentence after it. False at the end of the file. */
static bool read_line(FILE *file, char *to, size_t size)
{
    size_t n = 0;
    int c = getc(file);

    if (c == EOF)
        return false;
    for (; c != EOF && c != '\n' && c != '\r'; c = getc(file)) {
        if (n + 1 < size)
            to[n++] = c == '\0' ? ' ' : (char)c;
    }
    to[n] = '\0';
    return true;
}

/* The first sound sentence in a line, wherever it begins (loggers put a time before it). */
static struct lw_nmea find_sentence(const char *line)
{
    struct lw_nmea sentence = {.kind = LW_NMEA_BAD};

    for (const char *at = strchr(line, '$'); at && sentence.kind == LW_NMEA_BAD;
         at = strchr(at + 1, '$'))
        sentence = lw_nmea_parse(at);
    return sentence;
}

static int64_t day_of(const struct lw_nmea *rmc)
{
    return lw_clock_from_civil(rmc->year, rmc->month, rmc->day, 0, 0, 0.0) / (int64_t)(DAY_S * 1e3);
}

static bool has_date(const struct lw_nmea *sentence)
{
    return sentence->kind == LW_NMEA_RMC && sentence->valid && sentence->year != 0;
}

static bool has_time(const struct lw_nmea *sentence)
{
    return (sentence->kind == LW_NMEA_GGA || sentence->kind == LW_NMEA_RMC ||
            sentence->kind == LW_NMEA_GLL) &&
           !isnan(sentence->time_of_day_s);
}

/* Looks ahead for the date, so that the GGA before the first RMC has one too. What was read before
 * a midnight that lies between them belongs to the day before. False when no sentence was met. */
static bool find_first_day(struct replay *r)
{
    char line[LINE_MAX_BYTES];
    double first_s = NAN;
    bool any = false;

    while (read_line(r->file, line, sizeof line)) {
        struct lw_nmea sentence = find_sentence(line);

        any = any || sentence.kind != LW_NMEA_BAD;
        if (has_time(&sentence) && isnan(first_s))
            first_s = sentence.time_of_day_s;
        if (has_date(&sentence) && has_time(&sentence)) {
            r->day = day_of(&sentence);
            if (first_s > sentence.time_of_day_s + DAY_S / 2.0)
                r->day--;
            break;
        }
    }
    rewind(r->file);
    return any;
}

static int64_t utc_of(struct replay *r, const struct lw_nmea *sentence)
{
    double ms = sentence->time_of_day_s * 1000.0;
    int64_t utc_ms;

    if (has_date(sentence))
        r->day = day_of(sentence);
    utc_ms = r->day * (int64_t)(DAY_S * 1e3) + llround(ms);
    if (!has_date(sentence) && r->last_utc_ms != 0) {
        /* No date: the day that brings it nearest to the last time. */
        int64_t ahead = utc_ms - r->last_utc_ms;
        int64_t half = (int64_t)(DAY_S * 1e3 / 2.0);
        int64_t days = ahead < -half ? 1 : (ahead > half ? -1 : 0);

        utc_ms += days * (int64_t)(DAY_S * 1e3);
        if (days > 0)
            r->day++;
    }
    r->last_utc_ms = utc_ms;
    return utc_ms;
}

static int mode_of(struct replay *r, const struct lw_nmea *sentence, int64_t utc_ms)
{
    if (!sentence->valid)
        return 1;
    if (sentence->kind == LW_NMEA_GGA) {
        if (isnan(sentence->altitude_m))
            return 2;
        r->gga_3d_utc_ms = utc_ms;
        return 3;
    }
    return llabs(utc_ms - r->gga_3d_utc_ms) <= MODE_HOLD_MS ? 3 : 2;
}

/* The position of one kind of sentence in each epoch: of GLL, else GGA, else RMC, as gpsd comes out
 * in a boat's recording whose receiver cuts its times to whole seconds: RMC and GGA of one time lie
 * a second of travel apart there, and taking now the one, now the other would make the boat jump.
 */
static struct lw_ll place_of(struct replay *r, const struct lw_nmea *sentence, int64_t utc_ms)
{
    int rank = sentence->kind == LW_NMEA_GLL ? 3 : sentence->kind == LW_NMEA_GGA ? 2 : 1;

    if (!lw_ll_known(sentence->at) || (rank < r->place_rank && utc_ms == r->place_utc_ms))
        return (struct lw_ll){NAN, NAN};
    r->place_rank = rank;
    r->place_utc_ms = utc_ms;
    return sentence->at;
}

static void make_part(struct replay *r, struct lw_said *said, int64_t utc_ms)
{
    const struct lw_nmea *sentence = &said->sentence;

    said->has_part = utc_ms != 0 || sentence->kind == LW_NMEA_VTG;
    if (!said->has_part)
        return;
    said->part.at_utc_ms = utc_ms;
    if (sentence->kind != LW_NMEA_VTG)
        said->part.mode = mode_of(r, sentence, utc_ms);
    if (!sentence->valid)
        return;
    said->part.at = place_of(r, sentence, utc_ms);
    said->part.sog_mps = sentence->sog_mps;
    said->part.cog_deg = sentence->cog_deg;
    said->part.hdop = sentence->hdop;
}

/* When the file's time utc_ms falls due. */
static int64_t due(struct replay *r, int64_t utc_ms, int64_t last_utc_ms, int64_t mono_ms)
{
    int64_t gap = utc_ms - last_utc_ms;

    if (isinf(r->speedup))
        return mono_ms;
    if (r->clock_utc_ms == 0 || gap < -1000) {
        r->clock_utc_ms = utc_ms;
        r->clock_mono_ms = mono_ms;
    } else if (gap > GAP_MAX_MS) {
        r->clock_utc_ms = utc_ms;
        r->clock_mono_ms = mono_ms + (int64_t)(GAP_PLAYED_MS / r->speedup);
    }
    return r->clock_mono_ms + (int64_t)((double)(utc_ms - r->clock_utc_ms) / r->speedup);
}

static bool replay_next(struct lw_source *source, int64_t mono_ms, struct lw_said *said)
{
    struct replay *r = replay_of(source);
    char line[LINE_MAX_BYTES];

    while (!r->held) {
        int64_t utc_ms = 0;

        if (r->ended || !read_line(r->file, line, sizeof line)) {
            r->ended = true;
            return false;
        }
        lw_said_clear(&r->said);
        r->said.sentence = find_sentence(line);
        if (r->said.sentence.kind == LW_NMEA_BAD || r->said.sentence.kind == LW_NMEA_OTHER)
            continue;
        r->due_mono_ms = mono_ms;
        if (has_time(&r->said.sentence)) {
            int64_t last_utc_ms = r->last_utc_ms;

            utc_ms = utc_of(r, &r->said.sentence);
            r->due_mono_ms = due(r, utc_ms, last_utc_ms, mono_ms);
        }
        make_part(r, &r->said, utc_ms);
        r->held = true;
    }
    if (r->due_mono_ms > mono_ms)
        return false;
    r->held = false;
    *said = r->said;
    said->part.seen_mono_ms = mono_ms;
    return true;
}

static int replay_fd(const struct lw_source *source)
{
    (void)source;
    return -1;
}

static int64_t replay_deadline_ms(const struct lw_source *source)
{
    const struct replay *r = replay_of_const(source);

    if (r->held)
        return r->due_mono_ms;
    return r->ended ? INT64_MAX : 0;
}

static bool replay_connected(const struct lw_source *source)
{
    (void)source;
    return true;
}

static bool replay_ended(const struct lw_source *source)
{
    const struct replay *r = replay_of_const(source);

    return r->ended && !r->held;
}

static void replay_words(const struct lw_source *source, int64_t mono_ms, char *to, size_t size)
{
    const struct replay *r = replay_of_const(source);

    (void)mono_ms;
    lw_text_copy(to, size, "");
    lw_text_add(to, size, "replay of %s%s", r->path, r->ended ? ": at its end" : "");
}

static void replay_close(struct lw_source *source)
{
    struct replay *r = replay_of(source);

    fclose(r->file);
    free(r);
}

static const struct lw_source_ops replay_ops = {
    .close = replay_close,
    .fd = replay_fd,
    .deadline_ms = replay_deadline_ms,
    .next = replay_next,
    .connected = replay_connected,
    .ended = replay_ended,
    .words = replay_words,
};

/* A folder opens but does not read; a pipe reads but cannot be looked ahead in. */
static int open_file(struct replay *r, const char *path, struct lw_error *err)
{
    r->file = fopen(path, "rb");
    if (!r->file || fseek(r->file, 0, SEEK_END) != 0 || fseek(r->file, 0, SEEK_SET) != 0 ||
        (getc(r->file) == EOF && ferror(r->file)))
        return lw_fail(err, "%s: cannot read it (%s); give a file of NMEA 0183 sentences", r->path,
                       strerror(errno));
    rewind(r->file);
    if (!find_first_day(r))
        return lw_fail(err,
                       "%s: no line in it is an NMEA 0183 sentence with a right checksum "
                       "($...*hh); give a recorded NMEA 0183 file",
                       r->path);
    return 0;
}

int lw_replay_open(const char *path, double speedup, struct lw_source **out, struct lw_error *err)
{
    struct replay *r;

    *out = NULL;
    if (!(speedup > 0.0))
        return lw_fail(err, "replay of %s: the speedup must be more than 0", path);
    r = calloc(1, sizeof *r);
    if (!r)
        return lw_fail(err, "replay of %s: out of memory", path);
    r->source.ops = &replay_ops;
    r->speedup = speedup;
    r->gga_3d_utc_ms = INT64_MIN / 2;
    lw_text_clean(r->path, sizeof r->path, path);
    if (open_file(r, path, err) != 0) {
        if (r->file)
            fclose(r->file);
        free(r);
        return -1;
    }
    *out = &r->source;
    return 0;
}
