/* gpsd as a source, through libgps; the only file that knows libgps.
 *
 * JSON and raw sentences are asked for together: gpsd 3.22 decodes GGA, RMC, VTG, DBT and HDT, and
 * passes DPT, MTW, HDG, HDM, MWD, VHW and MWV on raw. gps_open blocks (a name server, a host that
 * does not answer), so it runs in a thread of its own that hands the open connection back and says
 * so through a pipe. */
#include <errno.h>
#include <fcntl.h>
#include <gps.h>
#include <math.h>
#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#include "lipwalk/base/clock.h"
#include "lipwalk/base/text.h"
#include "source.h"

#define CONNECT_MAX_MS 8000  /* after that the attempt is left behind and a new one made */
#define ASK_AFTER_MS   10000 /* silence after which gpsd is asked for a sign of life */
#define GONE_AFTER_MS  15000 /* silence after which the connection is taken for dead */
#define RETRY_FIRST_MS 500
#define RETRY_MAX_MS   5000
/* A TPV without a time is stamped with the system's clock unless one with a time came lately: a
 * sounder that sends only GLL never has a date. */
#define TIMED_HOLD_MS 3000

/* One gps_open. Whoever is last to need it (the feed or its thread) frees it. */
struct attempt {
    pthread_mutex_t lock;
    bool done, abandoned;
    int result; /* gps_open's: 0, or an NL_ code */
    int wake[2];
    char host[128], port[32];
    struct gps_data_t data;
};

enum link { LINK_WAITING, LINK_OPENING, LINK_OPEN };

struct gpsd {
    struct lw_source source;
    char host[128], port[32];
    enum link link;
    struct attempt *attempt; /* while opening and while open */
    int64_t began_mono_ms;   /* of the attempt; 0: not yet known */
    int64_t retry_mono_ms;
    int tries;
    char why[160];        /* why the last attempt or connection ended */
    int64_t data_mono_ms; /* when gpsd last said anything */
    bool asked;
    int devices;           /* -1: not said yet */
    bool reported;         /* a TPV came over this connection */
    int64_t timed_mono_ms; /* when a TPV last had a time */
    int stuck;             /* reads in a row that found bytes but made no line */
};

static void attempt_free(struct attempt *a)
{
    if (a->done && a->result == 0)
        gps_close(&a->data);
    if (a->wake[0] >= 0)
        close(a->wake[0]);
    if (a->wake[1] >= 0)
        close(a->wake[1]);
    pthread_mutex_destroy(&a->lock);
    free(a);
}

static void *attempt_run(void *arg)
{
    struct attempt *a = arg;
    int result = gps_open(a->host, a->port, &a->data);
    bool abandoned;

    if (result != 0 && errno < 0) /* 3.22 answers -1 and leaves the NL_ code there */
        result = errno;
    if (result == 0)
        gps_stream(&a->data, WATCH_ENABLE | WATCH_JSON | WATCH_NMEA, NULL);
    pthread_mutex_lock(&a->lock);
    a->result = result;
    a->done = true;
    abandoned = a->abandoned;
    if (!abandoned && write(a->wake[1], "", 1) < 0) {
        /* A pipe that is empty takes a byte; nothing to be done if not: the time limit helps. */
    }
    pthread_mutex_unlock(&a->lock);
    if (abandoned)
        attempt_free(a);
    return NULL;
}

static struct attempt *attempt_start(const char *host, const char *port)
{
    struct attempt *a = calloc(1, sizeof *a);
    pthread_t thread;
    sigset_t all, old;
    int failed;

    if (!a)
        return NULL;
    pthread_mutex_init(&a->lock, NULL);
    a->wake[0] = a->wake[1] = -1;
    lw_text_copy(a->host, sizeof a->host, host);
    lw_text_copy(a->port, sizeof a->port, port);
    if (pipe2(a->wake, O_CLOEXEC | O_NONBLOCK) != 0) {
        attempt_free(a);
        return NULL;
    }
    /* The thread takes no signals: they belong to the one that draws, and gpsd going away while
     * WATCH is written must not end the program by SIGPIPE. */
    sigfillset(&all);
    pthread_sigmask(SIG_BLOCK, &all, &old);
    failed = pthread_create(&thread, NULL, attempt_run, a);
    pthread_sigmask(SIG_SETMASK, &old, NULL);
    if (failed) {
        attempt_free(a);
        return NULL;
    }
    pthread_detach(thread);
    return a;
}

static void attempt_leave(struct attempt *a)
{
    bool done;

    pthread_mutex_lock(&a->lock);
    done = a->done;
    a->abandoned = true;
    pthread_mutex_unlock(&a->lock);
    if (done)
        attempt_free(a);
}

static struct gpsd *gpsd_of(struct lw_source *source)
{
    return (struct gpsd *)source;
}

static const struct gpsd *gpsd_of_const(const struct lw_source *source)
{
    return (const struct gpsd *)source;
}

static void wait_again(struct gpsd *g, int64_t mono_ms, const char *why)
{
    int64_t delay = RETRY_FIRST_MS;

    for (int i = 0; i < g->tries && delay < RETRY_MAX_MS; i++)
        delay *= 2;
    g->tries++;
    g->retry_mono_ms = mono_ms + (delay < RETRY_MAX_MS ? delay : RETRY_MAX_MS);
    if (g->attempt)
        attempt_leave(g->attempt);
    g->attempt = NULL;
    g->link = LINK_WAITING;
    lw_text_copy(g->why, sizeof g->why, why);
}

static void start(struct gpsd *g, int64_t mono_ms)
{
    g->attempt = attempt_start(g->host, g->port);
    g->began_mono_ms = mono_ms;
    g->link = LINK_OPENING;
    if (!g->attempt)
        wait_again(g, mono_ms, "no thread or pipe to open it with");
}

static const char *open_words(int result)
{
    switch (result) {
    case NL_NOHOST:
        return "no such host";
    case NL_NOSERVICE:
        return "no such port";
    case NL_NOCONNECT:
        return "nobody answers there (is gpsd running?)";
    default:
        return "it cannot be opened";
    }
}

static void finish_opening(struct gpsd *g, int64_t mono_ms)
{
    struct attempt *a = g->attempt;
    bool done;

    pthread_mutex_lock(&a->lock);
    done = a->done;
    pthread_mutex_unlock(&a->lock);
    if (!done) {
        if (mono_ms - g->began_mono_ms > CONNECT_MAX_MS)
            wait_again(g, mono_ms, "it does not answer");
        return;
    }
    if (a->result != 0) {
        wait_again(g, mono_ms, open_words(a->result));
        return;
    }
    /* gps_read on a blocking socket would block when it wants more than has come. */
    fcntl(a->data.gps_fd, F_SETFL, fcntl(a->data.gps_fd, F_GETFL) | O_NONBLOCK);
    fcntl(a->data.gps_fd, F_SETFD, FD_CLOEXEC);
    g->link = LINK_OPEN;
    g->data_mono_ms = mono_ms;
    g->asked = false;
    g->devices = -1;
    g->reported = false;
    g->stuck = 0;
    g->timed_mono_ms = mono_ms - TIMED_HOLD_MS - 1;
}

static int64_t ms_of(struct timespec time)
{
    return (int64_t)time.tv_sec * 1000 + time.tv_nsec / 1000000;
}

static void read_tpv(struct gpsd *g, int64_t mono_ms, struct lw_said *said)
{
    const struct gps_data_t *data = &g->attempt->data;
    const struct gps_fix_t *fix = &data->fix;
    struct lw_fix *part = &said->part;

    g->reported = true;
    said->depth_m = fix->depth;
    said->has_part = true;
    part->seen_mono_ms = mono_ms;
    part->at_utc_ms = ms_of(fix->time);
    part->mode = fix->mode;
    part->eph_m = fix->eph;
    part->hdop = data->dop.hdop > 0.0 ? data->dop.hdop : NAN;
    if (part->at_utc_ms > 0)
        g->timed_mono_ms = mono_ms;
    else if (fix->mode != MODE_NOT_SEEN && mono_ms - g->timed_mono_ms > TIMED_HOLD_MS)
        part->at_utc_ms = lw_clock_system_utc_ms();
    if (fix->mode < MODE_2D)
        return;
    part->at = (struct lw_ll){fix->latitude, fix->longitude};
    part->sog_mps = fix->speed;
    part->cog_deg = fix->track;
}

/* What gps_read has just unpacked. */
static void read_message(struct gpsd *g, const char *message, int64_t mono_ms, struct lw_said *said)
{
    const struct gps_data_t *data = &g->attempt->data;

    lw_said_clear(said);
    if (message[0] != '{') {
        said->sentence = lw_nmea_parse(message);
        return;
    }
    if (data->set & DEVICELIST_SET)
        g->devices = data->devices.ndevices;
    if (data->set & ATTITUDE_SET)
        said->heading_deg = data->attitude.heading;
    if (data->set & MODE_SET)
        read_tpv(g, mono_ms, said);
}

/* Nothing to read: is the other end still there? libgps 3.22 answers 0 for ever when the connection
 * ends within a line, and when a line is longer than its buffer. */
static bool other_end_gone(struct gpsd *g)
{
    char byte;
    ssize_t n = recv(g->attempt->data.gps_fd, &byte, 1, MSG_PEEK | MSG_DONTWAIT);

    if (n > 0)
        return ++g->stuck > 50;
    g->stuck = 0;
    return n == 0 || (errno != EAGAIN && errno != EWOULDBLOCK && errno != EINTR);
}

static void mind_silence(struct gpsd *g, int64_t mono_ms)
{
    static const char ask[] = "?VERSION;\r\n";
    int64_t silent = mono_ms - g->data_mono_ms;

    if (silent >= GONE_AFTER_MS) {
        wait_again(g, mono_ms, "it fell silent");
    } else if (silent >= ASK_AFTER_MS && !g->asked) {
        g->asked = true; /* an error shows at the next read */
        (void)!send(g->attempt->data.gps_fd, ask, sizeof ask - 1, MSG_NOSIGNAL | MSG_DONTWAIT);
    }
}

static bool read_open(struct gpsd *g, int64_t mono_ms, struct lw_said *said)
{
    struct gps_data_t *data = &g->attempt->data;
    char message[1024];
    int n;

    message[0] = '\0';
    data->set = 0;
    n = gps_read(data, message, sizeof message);
    /* -1 also means a line that libgps could not unpack; then the line is there. */
    if (message[0] != '\0') {
        g->data_mono_ms = mono_ms;
        g->asked = false;
        g->tries = 0;
        g->stuck = 0;
        read_message(g, message, mono_ms, said);
        return true;
    }
    if (n < 0 || (n == 0 && other_end_gone(g)))
        wait_again(g, mono_ms, "it closed the connection");
    else
        mind_silence(g, mono_ms);
    return false;
}

static bool gpsd_next(struct lw_source *source, int64_t mono_ms, struct lw_said *said)
{
    struct gpsd *g = gpsd_of(source);

    if (g->link == LINK_WAITING && mono_ms >= g->retry_mono_ms)
        start(g, mono_ms);
    if (g->link == LINK_OPENING)
        finish_opening(g, mono_ms);
    return g->link == LINK_OPEN && read_open(g, mono_ms, said);
}

static int gpsd_fd(const struct lw_source *source)
{
    const struct gpsd *g = gpsd_of_const(source);

    switch (g->link) {
    case LINK_OPENING:
        return g->attempt->wake[0];
    case LINK_OPEN:
        return g->attempt->data.gps_fd;
    default:
        return -1;
    }
}

static int64_t gpsd_deadline_ms(const struct lw_source *source)
{
    const struct gpsd *g = gpsd_of_const(source);

    switch (g->link) {
    case LINK_OPENING:
        return g->began_mono_ms + CONNECT_MAX_MS + 1;
    case LINK_OPEN:
        return g->data_mono_ms + (g->asked ? GONE_AFTER_MS : ASK_AFTER_MS);
    default:
        return g->retry_mono_ms;
    }
}

static bool gpsd_connected(const struct lw_source *source)
{
    return gpsd_of_const(source)->link == LINK_OPEN;
}

static bool gpsd_ended(const struct lw_source *source)
{
    (void)source;
    return false;
}

static void gpsd_words(const struct lw_source *source, int64_t mono_ms, char *to, size_t size)
{
    const struct gpsd *g = gpsd_of_const(source);
    double wait_s = fmax(0.0, (double)(g->retry_mono_ms - mono_ms) / 1000.0);

    lw_text_copy(to, size, "");
    lw_text_add(to, size, "gpsd at %s:%s", g->host, g->port);
    if (g->link == LINK_WAITING && g->why[0] == '\0')
        lw_text_add(to, size, ": not asked yet");
    else if (g->link == LINK_WAITING)
        lw_text_add(to, size, ": %s, next try in %.0f s", g->why, ceil(wait_s));
    else if (g->link == LINK_OPENING)
        lw_text_add(to, size, ": %s%sopening", g->why, g->why[0] ? ", " : "");
    else if (g->devices == 0)
        lw_text_add(to, size, " has no receiver");
    else if (g->devices < 0 && !g->reported)
        lw_text_add(to, size, " says nothing yet");
    else if (!g->reported)
        lw_text_add(to, size, ": the receiver says nothing yet");
}

static void gpsd_close(struct lw_source *source)
{
    struct gpsd *g = gpsd_of(source);

    if (g->attempt)
        attempt_leave(g->attempt);
    free(g);
}

static const struct lw_source_ops gpsd_ops = {
    .close = gpsd_close,
    .fd = gpsd_fd,
    .deadline_ms = gpsd_deadline_ms,
    .next = gpsd_next,
    .connected = gpsd_connected,
    .ended = gpsd_ended,
    .words = gpsd_words,
};

int lw_gpsd_open(const char *host, const char *port, struct lw_source **out, struct lw_error *err)
{
    struct gpsd *g;

    *out = NULL;
    if (host[0] == '\0' || port[0] == '\0' || strlen(host) >= sizeof g->host ||
        strlen(port) >= sizeof g->port)
        return lw_fail(err, "gpsd at \"%s\":\"%s\": give a host and a port", host, port);
    g = calloc(1, sizeof *g);
    if (!g)
        return lw_fail(err, "gpsd at %s:%s: out of memory", host, port);
    g->source.ops = &gpsd_ops;
    g->source.quiet_ms = 100;
    g->source.quiet_part_ms = 250;
    lw_text_clean(g->host, sizeof g->host, host);
    lw_text_clean(g->port, sizeof g->port, port);
    g->devices = -1;
    *out = &g->source;
    return 0;
}
