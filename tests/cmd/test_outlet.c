#include <arpa/inet.h>
#include <criterion/criterion.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include "cmd/outlet.h"
#include "lw_test.h"

#define WORDS "$GPHDT,1.0,T*00\r\n"

static void send_words(struct outlet *outlet)
{
    struct lw_error err;

    outlet_attend(outlet);
    cr_assert_eq(outlet_send(outlet, WORDS, strlen(WORDS), &err), 0);
}

Test(outlet, pty_is_raw_shared_with_the_group_and_gone_at_the_end)
{
    struct outlet outlet;
    struct lw_error err;
    struct termios mode;
    struct stat is;
    char folder[256], link[300], got[100];
    int fd;

    lw_test_scratch(folder, sizeof folder);
    snprintf(link, sizeof link, "%s/receiver", folder);
    if (outlet_pty(&outlet, link, &err))
        cr_skip_test("no pseudo-terminals here: %s", err.text);
    cr_assert_eq(stat(link, &is), 0);
    cr_assert(S_ISCHR(is.st_mode));
    cr_assert_eq(is.st_mode & 07777, 0660);
    fd = open(link, O_RDONLY | O_NOCTTY | O_NONBLOCK);
    cr_assert_geq(fd, 0);
    cr_assert_eq(tcgetattr(fd, &mode), 0);
    cr_assert_eq(mode.c_lflag & (ICANON | ECHO | ISIG), 0u);
    cr_assert_eq(mode.c_oflag & OPOST, 0u);
    send_words(&outlet);
    memset(got, 0, sizeof got);
    cr_assert_eq(read(fd, got, sizeof got), (ssize_t)strlen(WORDS));
    cr_assert_str_eq(got, WORDS);

    /* a reader that comes late is not given what was said long ago */
    for (int i = 0; i < 500; i++) {
        send_words(&outlet);
        usleep(300); /* the kernel hands a pty's bytes over in its own time */
    }
    {
        ssize_t n, all = 0;

        while ((n = read(fd, got, sizeof got)) > 0)
            all += n;
        cr_assert_gt(all, 0);
        cr_assert_lt(all, 500 * (ssize_t)strlen(WORDS) / 2);
    }
    close(fd);
    send_words(&outlet); /* nobody reads: no trouble */
    outlet_close(&outlet);
    cr_assert_neq(lstat(link, &is), 0);
    cr_assert_eq(rmdir(folder), 0);
}

Test(outlet, pty_leaves_a_file_of_the_user_alone)
{
    struct outlet outlet;
    struct lw_error err;
    char folder[256], link[300];
    FILE *file;

    lw_test_scratch(folder, sizeof folder);
    snprintf(link, sizeof link, "%s/notes", folder);
    file = fopen(link, "w");
    cr_assert_not_null(file);
    fclose(file);
    cr_assert_eq(outlet_pty(&outlet, link, &err), -1);
    cr_assert_not_null(strstr(err.text, link));
    cr_assert_eq(access(link, F_OK), 0);
    unlink(link);
    rmdir(folder);
}

static int connect_to(int port)
{
    struct sockaddr_in at = {.sin_family = AF_INET,
                             .sin_port = htons((uint16_t)port),
                             .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    int fd = socket(AF_INET, SOCK_STREAM, 0);

    cr_assert_geq(fd, 0);
    cr_assert_eq(connect(fd, (struct sockaddr *)&at, sizeof at), 0);
    return fd;
}

static void hears_words(int fd)
{
    char got[100] = "";

    cr_assert_eq(recv(fd, got, strlen(WORDS), MSG_WAITALL), (ssize_t)strlen(WORDS));
    cr_assert_str_eq(got, WORDS);
}

Test(outlet, tcp_serves_many_and_survives_their_leaving)
{
    struct outlet outlet, second;
    struct lw_error err;
    int a, b, c;

    cr_assert_eq(outlet_tcp(&outlet, 0, &err), 0, "%s", err.text);
    cr_assert_gt(outlet.port, 0);
    send_words(&outlet); /* to nobody */
    a = connect_to(outlet.port);
    b = connect_to(outlet.port);
    send_words(&outlet);
    hears_words(a);
    hears_words(b);
    close(a);
    for (int i = 0; i < 3; i++) {
        send_words(&outlet);
        hears_words(b);
    }
    cr_assert_eq(outlet.clients, 1);
    c = connect_to(outlet.port);
    cr_assert_eq(send(c, "?WATCH\n", 7, 0), 7); /* what a client says does no harm */
    send_words(&outlet);
    hears_words(b);
    hears_words(c);
    cr_assert_eq(outlet_tcp(&second, outlet.port, &err), -1);
    cr_assert_not_null(strstr(err.text, "--tcp"));
    close(b);
    close(c);
    outlet_close(&outlet);
}

/* A client that never reads is dropped when its buffer is full, and holds nobody up. */
Test(outlet, tcp_drops_a_client_that_does_not_read)
{
    static char much[65536];
    struct outlet outlet;
    struct lw_error err;
    int deaf;

    memset(much, 'x', sizeof much);
    cr_assert_eq(outlet_tcp(&outlet, 0, &err), 0, "%s", err.text);
    deaf = connect_to(outlet.port);
    outlet_attend(&outlet);
    cr_assert_eq(outlet.clients, 1);
    for (int i = 0; i < 2000 && outlet.clients > 0; i++)
        cr_assert_eq(outlet_send(&outlet, much, sizeof much, &err), 0);
    cr_assert_eq(outlet.clients, 0);
    close(deaf);
    outlet_close(&outlet);
}
