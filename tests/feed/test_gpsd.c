/* The feed against a real gpsd on free ports of 127.0.0.1, fed by this test over TCP, and against a
 * made-up server for what a real one does seldom. */
#include "lipwalk/feed/feed.h"

#include "lipwalk/base/clock.h"
#include "lipwalk/feed/nmea.h"
#include "lw_test.h"
#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <netinet/in.h>
#include <poll.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>

/* Not Criterion's own time limit: with it Criterion 2.4.1 leaks 48 bytes, and a leak fails. */
static void limit_time(void)
{
    alarm(120);
}

static int listen_on(int *port, int backlog)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr = {htonl(INADDR_LOOPBACK)}};
    socklen_t size = sizeof at;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0), one = 1;

    cr_assert_geq(fd, 0);
    setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one);
    at.sin_port = htons((uint16_t)*port);
    cr_assert_eq(bind(fd, (struct sockaddr *)&at, sizeof at), 0);
    cr_assert_eq(listen(fd, backlog), 0);
    getsockname(fd, (struct sockaddr *)&at, &size);
    *port = ntohs(at.sin_port);
    return fd;
}

static int free_port(void)
{
    int port = 0, fd = listen_on(&port, 1);

    close(fd);
    return port;
}

/* --- a receiver behind TCP, a gpsd that reads it, a feed that reads gpsd --- */
struct world {
    int receiver_fd, receiver_port, client_fd;
    int gpsd_port;
    char dir[200];
    pid_t gpsd;
    bool talking, fixed;
    int64_t next_mono_ms;
    struct lw_feed *feed;
};
static struct world world; /* for the clean-up that Criterion calls on failure too */

static void start_gpsd(struct world *w, bool with_receiver)
{
    char port[16], device[64], control[256];
    pid_t parent = getpid();

    snprintf(port, sizeof port, "%d", w->gpsd_port);
    snprintf(device, sizeof device, "tcp://127.0.0.1:%d", w->receiver_port);
    snprintf(control, sizeof control, "%s/control", w->dir);
    w->gpsd = fork();
    cr_assert_geq(w->gpsd, 0);
    if (w->gpsd == 0) {
        int null = open("/dev/null", O_RDWR);

        prctl(PR_SET_PDEATHSIG, SIGKILL); /* a crashed test leaves no gpsd behind */
        if (getppid() != parent)
            _exit(1);
        dup2(null, 0);
        dup2(null, 1);
        dup2(null, 2);
        execlp("gpsd", "gpsd", "-N", "-n", "-b", "-S", port, "-F", control,
               with_receiver ? device : NULL, NULL);
        execl("/usr/sbin/gpsd", "gpsd", "-N", "-n", "-b", "-S", port, "-F", control,
              with_receiver ? device : NULL, NULL);
        _exit(127);
    }
}

static void stop_gpsd(struct world *w)
{
    if (w->gpsd > 0) {
        kill(w->gpsd, SIGKILL);
        waitpid(w->gpsd, NULL, 0);
    }
    w->gpsd = 0;
    if (w->client_fd >= 0)
        close(w->client_fd);
    w->client_fd = -1;
}

static void set_up(void)
{
    limit_time();
    memset(&world, 0, sizeof world);
    world.client_fd = world.receiver_fd = -1;
    signal(SIGPIPE, SIG_IGN);
    lw_test_scratch(world.dir, sizeof world.dir);
    world.receiver_fd = listen_on(&world.receiver_port, 4);
    fcntl(world.receiver_fd, F_SETFL, O_NONBLOCK);
    world.gpsd_port = free_port();
    world.talking = world.fixed = true;
}

static void clean_up(void)
{
    char control[256];

    stop_gpsd(&world);
    lw_feed_close(world.feed);
    close(world.receiver_fd);
    snprintf(control, sizeof control, "%s/control", world.dir);
    unlink(control);
    rmdir(world.dir);
}

static void put(char *to, size_t size, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static void put(char *to, size_t size, const char *format, ...)
{
    size_t n = strlen(to);
    va_list args;

    va_start(args, format);
    vsnprintf(to + n, size - n, format, args);
    va_end(args);
    cr_assert_gt(lw_nmea_seal(to + n, size - n), 0);
}

/* One epoch: lying still, the sensors beside it. */
static void send_epoch(struct world *w)
{
    int64_t utc_ms = lw_clock_system_utc_ms();
    time_t s = (time_t)(utc_ms / 1000);
    struct tm tm;
    char text[1024] = "", time[16], date[16];

    gmtime_r(&s, &tm);
    strftime(time, sizeof time, "%H%M%S", &tm);
    strftime(date, sizeof date, "%d%m%y", &tm);
    snprintf(time + 6, sizeof time - 6, ".%02d", (int)(utc_ms % 1000 / 10));
    if (w->fixed) {
        put(text, sizeof text, "$GPRMC,%s,A,4600.6000,N,08941.9820,W,0.00,,%s,,,A", time, date);
        put(text, sizeof text, "$GPGGA,%s,4600.6000,N,08941.9820,W,1,09,0.9,500.0,M,-30.0,M,,",
            time);
    } else {
        put(text, sizeof text, "$GPRMC,%s,V,,,,,,,%s,,,N", time, date);
        put(text, sizeof text, "$GPGGA,%s,,,,,0,00,99.0,,M,,M,,", time);
    }
    put(text, sizeof text, "$GPHDT,228.6,T");
    put(text, sizeof text, "$SDDBT,18.4,f,5.6,M,3.1,F");
    put(text, sizeof text, "$SDDPT,5.6,0.4,100.0");
    put(text, sizeof text, "$YXMTW,15.2,C");
    put(text, sizeof text, "$WIMWV,042.0,R,11.3,N,A");
    if (send(w->client_fd, text, strlen(text), MSG_NOSIGNAL | MSG_DONTWAIT) < 0 &&
        errno != EAGAIN) {
        close(w->client_fd);
        w->client_fd = -1;
    }
}

static void receiver(struct world *w, int64_t mono_ms)
{
    int fd = accept4(w->receiver_fd, NULL, NULL, SOCK_CLOEXEC);

    if (fd >= 0) {
        if (w->client_fd >= 0)
            close(w->client_fd);
        w->client_fd = fd;
    }
    if (w->client_fd >= 0 && w->talking && mono_ms >= w->next_mono_ms) {
        send_epoch(w);
        w->next_mono_ms = mono_ms + 200;
    }
}

/* Runs the world until the feed is in `wanted` or the time is over; how long it took, -1 if not. */
static int64_t until(struct world *w, enum lw_fix_state wanted, int64_t limit_ms)
{
    int64_t began = lw_clock_mono_ms(), now = began;

    for (; now - began <= limit_ms; now = lw_clock_mono_ms()) {
        struct pollfd p = {lw_feed_fd(w->feed), POLLIN, 0};
        int64_t before = lw_clock_mono_ms();

        receiver(w, now);
        while (lw_feed_step(w->feed, now)) {
        }
        cr_assert_leq(lw_clock_mono_ms() - before, 100, "a step blocked");
        if (lw_feed_estimate(w->feed, now).state == wanted)
            return now - began;
        poll(&p, 1, 20);
    }
    return -1;
}

static void open_feed(struct world *w)
{
    struct lw_error err = {""};
    struct lw_feed_options options = {0};
    char port[16];

    snprintf(port, sizeof port, "%d", w->gpsd_port);
    cr_assert_eq(lw_feed_open_gpsd("127.0.0.1", port, &options, &w->feed, &err), 0, "%s", err.text);
}

static const char *words(struct world *w)
{
    static char text[256];

    lw_feed_words(w->feed, lw_clock_mono_ms(), text, sizeof text);
    return text;
}

Test(gpsd, a_day_with_a_real_gpsd, .init = set_up, .fini = clean_up)
{
    struct world *w = &world;
    const struct lw_readings *r;
    struct lw_estimate e;
    int64_t ms;

    open_feed(w);
    cr_assert_eq(until(w, LW_FIX_LOST, 100), 0, "no gpsd yet");
    until(w, LW_FIX_3D, 700);
    cr_assert_not_null(strstr(words(w), "next try in"), "%s", words(w));
    cr_assert_not_null(strstr(words(w), "nobody answers"), "%s", words(w));
    start_gpsd(w, true);
    ms = until(w, LW_FIX_3D, 20000);
    cr_log_info("gpsd started: a 3-D fix after %lld ms\n", (long long)ms);
    cr_assert_geq(ms, 0, "%s", words(w));

    /* what gpsd decodes, and what it passes on raw */
    until(w, LW_FIX_LOST, 1500);
    e = lw_feed_estimate(w->feed, lw_clock_mono_ms());
    r = lw_feed_readings(w->feed);
    cr_assert_eq(e.state, LW_FIX_3D);
    cr_assert_float_eq(e.at.lat_deg, 46.01, 2e-6);
    cr_assert_float_eq(e.at.lon_deg, -89.6997, 2e-6);
    cr_assert_float_eq(lw_feed_fix(w->feed)->eph_m, 17.1, 0.01); /* 19 m a unit of HDOP */
    cr_assert_float_eq(r->depth_m.value, 6.0, 1e-9, "DPT and its offset, raw");
    cr_assert_float_eq(r->water_c.value, 15.2, 1e-9, "MTW, raw");
    cr_assert_float_eq(r->heading_deg.value, 228.6, 1e-6, "HDT");
    cr_assert_eq(r->heading_source, LW_HEADING_COMPASS);
    cr_assert_float_eq(r->rel_wind_mps.value, 5.813222, 1e-5);
    cr_assert(!isnan(r->wind_from_deg.value));
    cr_assert_lt(llabs(e.at_utc_ms - lw_clock_system_utc_ms()), 2000);

    /* the receiver loses the sky: at once, in words */
    w->fixed = false;
    ms = until(w, LW_FIX_NONE, 5000);
    cr_log_info("no fix seen after %lld ms: %s\n", (long long)ms, words(w));
    cr_assert(ms >= 0 && ms < 3000);
    w->fixed = true;
    cr_assert_geq(until(w, LW_FIX_3D, 5000), 0);

    /* it falls silent */
    w->talking = false;
    ms = until(w, LW_FIX_STALE, 5000);
    cr_log_info("silent receiver: stale after %lld ms\n", (long long)ms);
    cr_assert(ms >= 1500 && ms <= 2500);
    w->talking = true;
    cr_assert_geq(until(w, LW_FIX_3D, 10000), 0, "%s", words(w));

    /* gpsd is killed and comes back */
    stop_gpsd(w);
    ms = until(w, LW_FIX_LOST, 3000);
    cr_log_info("gpsd killed: lost after %lld ms: %s\n", (long long)ms, words(w));
    cr_assert(ms >= 0 && ms < 500);
    cr_assert_eq(until(w, LW_FIX_3D, 1500), -1);
    start_gpsd(w, true);
    ms = until(w, LW_FIX_3D, 20000);
    cr_log_info("gpsd restarted: a 3-D fix after %lld ms\n", (long long)ms);
    cr_assert_geq(ms, 0, "%s", words(w));
}

Test(gpsd, a_real_gpsd_without_a_receiver, .init = set_up, .fini = clean_up)
{
    struct world *w = &world;

    start_gpsd(w, false);
    open_feed(w);
    cr_assert_geq(until(w, LW_FIX_NONE, 10000), 0, "%s", words(w));
    until(w, LW_FIX_3D, 500);
    cr_assert_eq(lw_feed_estimate(w->feed, lw_clock_mono_ms()).state, LW_FIX_NONE);
    cr_assert_not_null(strstr(words(w), "has no receiver"), "%s", words(w));
}

/* A host that does not answer: a listener whose queue is full drops what comes. */
Test(gpsd, closing_while_opening_hangs, .init = limit_time)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr = {htonl(INADDR_LOOPBACK)}};
    struct lw_error err = {""};
    struct lw_feed *feed;
    char port_text[16];
    int port = 0, fd = listen_on(&port, 0), queue[8];
    int64_t began;

    at.sin_port = htons((uint16_t)port);
    for (int i = 0; i < 8; i++) {
        queue[i] = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
        (void)!connect(queue[i], (struct sockaddr *)&at, sizeof at);
    }
    snprintf(port_text, sizeof port_text, "%d", port);
    cr_assert_eq(lw_feed_open_gpsd("127.0.0.1", port_text, NULL, &feed, &err), 0);
    began = lw_clock_mono_ms();
    for (int i = 0; i < 10; i++) {
        struct pollfd p = {lw_feed_fd(feed), POLLIN, 0};

        lw_feed_step(feed, lw_clock_mono_ms());
        cr_assert_eq(poll(&p, 1, 20), 0);
    }
    cr_assert_eq(lw_feed_estimate(feed, lw_clock_mono_ms()).state, LW_FIX_LOST);
    cr_assert_leq(lw_clock_mono_ms() - began, 600);
    /* left behind after 8 s and tried again (by the time that is told) */
    lw_feed_step(feed, began + 10000);
    char text[256];
    lw_feed_words(feed, began + 10000, text, sizeof text);
    cr_assert_not_null(strstr(text, "does not answer"), "%s", text);
    lw_feed_step(feed, began + 11000);
    began = lw_clock_mono_ms();
    lw_feed_close(feed);
    cr_assert_leq(lw_clock_mono_ms() - began, 200);
    for (int i = 0; i < 8; i++)
        close(queue[i]);
    close(fd);
}

/* --- a made-up server --- */
static int serve(struct lw_feed **feed, int *listener)
{
    struct lw_error err = {""};
    char port_text[16];
    int port = 0, fd;

    *listener = listen_on(&port, 4);
    snprintf(port_text, sizeof port_text, "%d", port);
    cr_assert_eq(lw_feed_open_gpsd("127.0.0.1", port_text, NULL, feed, &err), 0);
    lw_feed_step(*feed, 1000);
    fd = accept(*listener, NULL, NULL);
    cr_assert_geq(fd, 0);
    for (int i = 0; i < 100 && lw_feed_estimate(*feed, 1000).state == LW_FIX_LOST; i++) {
        usleep(10000);
        lw_feed_step(*feed, 1000);
    }
    cr_assert_eq(lw_feed_estimate(*feed, 1000).state, LW_FIX_NONE);
    return fd;
}
static void tell(int fd, const char *text)
{
    cr_assert_eq(write(fd, text, strlen(text)), (ssize_t)strlen(text));
}
/* Steps until drained, for a while, since loopback takes a moment. */
static int step_all(struct lw_feed *feed, int64_t mono_ms)
{
    int epochs = 0;

    for (int i = 0; i < 5; i++) {
        while (lw_feed_step(feed, mono_ms))
            epochs++;
        usleep(10000);
    }
    return epochs;
}

static const char tpv[] = "{\"class\":\"TPV\",\"device\":\"x\",\"mode\":3,\"time\":"
                          "\"2024-05-11T17:45:30.000Z\",\"lat\":46.2,\"lon\":-93.6,"
                          "\"eph\":17.1}\r\n";

Test(gpsd, nonsense_does_not_end_it_and_half_a_line_does, .init = limit_time)
{
    struct lw_feed *feed;
    int listener, fd = serve(&feed, &listener);

    tell(fd, "{\"class\":\"NONSENSE\",\"a\":1}\r\n");
    tell(fd, "{\"class\":\"TPV\",\"mode\":\"three\"}\r\n\x01\x02\x1b[2J\r\n{\r\n\r\n");
    tell(fd, "$SDDPT,5.6,0.4,100.0*53\r\n");
    tell(fd, tpv);
    step_all(feed, 1010);
    cr_assert_eq(step_all(feed, 2000), 1);
    cr_assert_eq(lw_feed_estimate(feed, 2000).state, LW_FIX_3D);
    cr_assert_float_eq(lw_feed_readings(feed)->depth_m.value, 6.0, 1e-9);
    cr_assert_float_eq(lw_feed_fix(feed)->eph_m, 17.1, 1e-9);
    tell(fd, "{\"class\":\"TPV\",\"mo");
    close(fd);
    step_all(feed, 2100);
    cr_assert_eq(lw_feed_estimate(feed, 2100).state, LW_FIX_LOST);
    lw_feed_close(feed);
    close(listener);
}

Test(gpsd, several_reports_of_one_epoch, .init = limit_time)
{
    struct lw_feed *feed;
    int listener, fd = serve(&feed, &listener);

    tell(fd, tpv);
    tell(fd, "{\"class\":\"TPV\",\"mode\":3,\"time\":\"2024-05-11T17:45:30.000Z\",\"speed\":1.5,"
             "\"track\":90.0,\"magtrack\":17.0}\r\n");
    tell(fd, "{\"class\":\"TPV\",\"mode\":3,\"time\":\"2024-05-11T17:45:31.000Z\",\"lat\":46.2,"
             "\"lon\":-93.6}\r\n");
    cr_assert_eq(step_all(feed, 1010), 1);
    cr_assert_float_eq(lw_feed_fix(feed)->at.lat_deg, 46.2, 1e-9);
    cr_assert_float_eq(lw_feed_fix(feed)->sog_mps, 1.5, 1e-9);
    cr_assert(isnan(lw_feed_readings(feed)->heading_deg.value), "magtrack is no heading");
    tell(fd, "{\"class\":\"ATT\",\"device\":\"x\",\"time\":\"2024-05-11T17:45:31.000Z\","
             "\"heading\":123.4}\r\n");
    step_all(feed, 1020);
    cr_assert_float_eq(lw_feed_readings(feed)->heading_deg.value, 123.4, 1e-9);
    lw_feed_close(feed);
    close(fd);
    close(listener);
}

/* A part without a position is nothing to wait for: a deadline in the past would spin the loop. */
Test(gpsd, half_an_epoch_does_not_spin, .init = limit_time)
{
    struct lw_feed *feed;
    int listener, fd = serve(&feed, &listener);

    tell(fd,
         "{\"class\":\"TPV\",\"mode\":3,\"time\":\"2024-05-11T17:45:30.000Z\",\"speed\":1.5}\r\n");
    step_all(feed, 1010);
    cr_assert_eq(step_all(feed, 3000), 0);
    cr_assert_gt(lw_feed_deadline_ms(feed), 3000);
    cr_assert_eq(lw_feed_estimate(feed, 3000).state, LW_FIX_NONE);
    lw_feed_close(feed);
    close(fd);
    close(listener);
}

/* A host that vanishes says nothing, not even good-bye: it is asked, then given up. */
Test(gpsd, a_silent_host_is_given_up, .init = limit_time)
{
    struct lw_feed *feed;
    struct pollfd p;
    int listener, fd = serve(&feed, &listener);
    char text[256];
    ssize_t n;

    tell(fd, tpv);
    step_all(feed, 1010);
    step_all(feed, 2000);
    n = read(fd, text, sizeof text - 1); /* the WATCH */
    cr_assert_gt(n, 0);
    text[n] = '\0';
    cr_assert_not_null(strstr(text, "\"json\":true"), "%s", text);
    cr_assert_not_null(strstr(text, "\"nmea\":true"), "%s", text);
    cr_assert_eq(lw_feed_estimate(feed, 3010).state, LW_FIX_3D);
    cr_assert_eq(lw_feed_estimate(feed, 4011).state, LW_FIX_STALE);
    cr_assert_leq(lw_feed_deadline_ms(feed), 1010 + 10000);
    step_all(feed, 11100);
    p = (struct pollfd){fd, POLLIN, 0};
    cr_assert_eq(poll(&p, 1, 1000), 1, "it is asked for a sign of life");
    n = read(fd, text, sizeof text - 1);
    cr_assert(n > 0 && text[0] == '?');
    tell(fd, "{\"class\":\"VERSION\",\"release\":\"3.22\",\"rev\":\"3.22\",\"proto_major\":3,"
             "\"proto_minor\":14}\r\n");
    step_all(feed, 11200);
    step_all(feed, 20000);
    cr_assert_eq(lw_feed_estimate(feed, 20000).state, LW_FIX_STALE, "it answered");
    step_all(feed, 27000);
    cr_assert_eq(lw_feed_estimate(feed, 27000).state, LW_FIX_LOST);
    lw_feed_words(feed, 27000, text, sizeof text);
    cr_assert_not_null(strstr(text, "fell silent"), "%s", text);
    lw_feed_close(feed);
    close(fd);
    close(listener);
}

Test(gpsd, bad_addresses)
{
    struct lw_feed *feed;
    struct lw_error err = {""};

    cr_assert_eq(lw_feed_open_gpsd("", "2947", NULL, &feed, &err), -1);
    cr_assert_not_null(strstr(err.text, "host and a port"));
    cr_assert_eq(lw_feed_open_gpsd("localhost", "", NULL, &feed, &err), -1);
    cr_assert_null(feed);
}
