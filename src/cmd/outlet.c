#include "outlet.h"

#include <arpa/inet.h>
#include <errno.h>
#include <fcntl.h>
#include <grp.h>
#include <netinet/in.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include "lipwalk/base/save.h"

/* About three epochs: more than that unread in a pty means that nobody reads, and a reader that
 * comes later must not be given old positions. */
#define UNREAD_MAX 1500

static void clear(struct outlet *outlet)
{
    *outlet = (struct outlet){.master = -1, .slave = -1, .listener = -1};
}

void outlet_stdout(struct outlet *outlet)
{
    clear(outlet);
}

/* ---- pty ---- */

static int open_pty(struct outlet *outlet, struct lw_error *err)
{
    struct termios raw;
    const struct group *dialout;

    outlet->master = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (outlet->master < 0 || grantpt(outlet->master) || unlockpt(outlet->master) ||
        ptsname_r(outlet->master, outlet->slave_path, sizeof outlet->slave_path))
        return lw_fail(err, "no pseudo-terminal could be made (%s): use --tcp PORT instead",
                       strerror(errno));
    /* Held open, so that the master does not report an error while no reader is there. */
    outlet->slave = open(outlet->slave_path, O_RDWR | O_NOCTTY | O_CLOEXEC);
    if (outlet->slave < 0 || tcgetattr(outlet->slave, &raw))
        return lw_fail(err, "%s could not be opened (%s): use --tcp PORT instead",
                       outlet->slave_path, strerror(errno));
    cfmakeraw(&raw);
    if (tcsetattr(outlet->slave, TCSANOW, &raw) || fchmod(outlet->slave, 0660))
        return lw_fail(err, "%s could not be set up (%s): use --tcp PORT instead",
                       outlet->slave_path, strerror(errno));
    /* Only root may give a pty to another group; without it a gpsd of the same user still reads. */
    dialout = getgrnam("dialout");
    if (dialout && fchown(outlet->slave, (uid_t)-1, dialout->gr_gid))
        errno = 0;
    return 0;
}

static bool links_to_pty(const char *link, char *target, size_t size)
{
    ssize_t n = readlink(link, target, size - 1);

    if (n < 0)
        return false;
    target[n] = '\0';
    return strncmp(target, "/dev/pts/", 9) == 0;
}

int outlet_pty(struct outlet *outlet, const char *link, struct lw_error *err)
{
    char target[128];
    struct stat there;

    clear(outlet);
    if (lstat(link, &there) == 0) {
        if (!links_to_pty(link, target, sizeof target))
            return lw_fail(err, "%s exists and is no link to a pseudo-terminal: give another --pty",
                           link);
        unlink(link);
    }
    if (open_pty(outlet, err))
        goto fail;
    if (symlink(outlet->slave_path, link)) {
        lw_fail(err, "the link %s could not be made: %s", link, strerror(errno));
        goto fail;
    }
    outlet->link = link;
    return 0;

fail:
    outlet_close(outlet);
    return -1;
}

static void send_pty(struct outlet *outlet, const char *text, size_t length)
{
    char echo[256];
    int unread = 0;

    while (read(outlet->master, echo, sizeof echo) > 0)
        ; /* what a reader writes to the device, a probe say, is nothing to us */
    if (ioctl(outlet->slave, FIONREAD, &unread) == 0 && unread > UNREAD_MAX)
        tcflush(outlet->slave, TCIFLUSH);
    if (write(outlet->master, text, length) < 0)
        tcflush(outlet->slave, TCIFLUSH);
}

/* ---- tcp ---- */

int outlet_tcp(struct outlet *outlet, int port, struct lw_error *err)
{
    struct sockaddr_in at = {.sin_family = AF_INET,
                             .sin_port = htons((uint16_t)port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof at;
    int yes = 1;

    clear(outlet);
    outlet->listener = socket(AF_INET, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (outlet->listener < 0 ||
        setsockopt(outlet->listener, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes) ||
        bind(outlet->listener, (struct sockaddr *)&at, sizeof at) ||
        listen(outlet->listener, OUTLET_CLIENTS) ||
        getsockname(outlet->listener, (struct sockaddr *)&at, &size)) {
        lw_fail(err,
                "port %d of 127.0.0.1 could not be opened (%s): give another --tcp, or 0 for "
                "a free one",
                port, strerror(errno));
        outlet_close(outlet);
        return -1;
    }
    outlet->port = ntohs(at.sin_port);
    return 0;
}

static void drop_client(struct outlet *outlet, int i)
{
    close(outlet->client[i]);
    outlet->client[i] = outlet->client[--outlet->clients];
}

/* True when the client is still there; what it says is read and let go. */
static bool hear_client(int fd)
{
    char words[256];
    ssize_t n;

    while ((n = recv(fd, words, sizeof words, MSG_DONTWAIT)) > 0)
        ;
    return n < 0 && (errno == EAGAIN || errno == EWOULDBLOCK || errno == EINTR);
}

void outlet_attend(struct outlet *outlet)
{
    int fd;

    for (int i = outlet->clients - 1; i >= 0; i--)
        if (!hear_client(outlet->client[i]))
            drop_client(outlet, i);
    if (outlet->listener < 0)
        return;
    while ((fd = accept4(outlet->listener, NULL, NULL, SOCK_NONBLOCK | SOCK_CLOEXEC)) >= 0) {
        if (outlet->clients == OUTLET_CLIENTS)
            close(fd);
        else
            outlet->client[outlet->clients++] = fd;
    }
}

static void send_clients(struct outlet *outlet, const char *text, size_t length)
{
    for (int i = outlet->clients - 1; i >= 0; i--) {
        ssize_t n = send(outlet->client[i], text, length, MSG_DONTWAIT | MSG_NOSIGNAL);

        /* A full buffer holds minutes of sentences: that client has stopped reading. */
        if (n != (ssize_t)length)
            drop_client(outlet, i);
    }
}

/* ---- all ---- */

static int send_stdout(const char *text, size_t length, struct lw_error *err)
{
    if (lw_write_all(STDOUT_FILENO, text, length))
        return lw_fail(err, "stdout could not be written: %s", strerror(errno));
    return 0;
}

int outlet_polls(const struct outlet *outlet, struct pollfd *to)
{
    int n = 0;

    if (outlet->listener >= 0)
        to[n++] = (struct pollfd){.fd = outlet->listener, .events = POLLIN};
    for (int i = 0; i < outlet->clients; i++)
        to[n++] = (struct pollfd){.fd = outlet->client[i], .events = POLLIN};
    return n;
}

int outlet_send(struct outlet *outlet, const char *text, size_t length, struct lw_error *err)
{
    if (outlet->master >= 0)
        send_pty(outlet, text, length);
    else if (outlet->listener >= 0)
        send_clients(outlet, text, length);
    else
        return send_stdout(text, length, err);
    return 0;
}

void outlet_close(struct outlet *outlet)
{
    char target[128];

    if (outlet->link && links_to_pty(outlet->link, target, sizeof target) &&
        strcmp(target, outlet->slave_path) == 0)
        unlink(outlet->link);
    while (outlet->clients > 0)
        drop_client(outlet, 0);
    if (outlet->listener >= 0)
        close(outlet->listener);
    if (outlet->slave >= 0)
        close(outlet->slave);
    if (outlet->master >= 0)
        close(outlet->master);
    clear(outlet);
}
