/* HOST:PORT. */
#include "lw_test.h"

#include "lipwalk/conf/settings.h"

static struct lw_error err;

Test(host_port, splits_every_accepted_shape)
{
    static const struct {
        const char *text, *host, *port;
    } good[] = {
        {"localhost:2947", "localhost", "2947"},
        {"boat.local:1", "boat.local", "1"},
        {"10.0.0.7:65535", "10.0.0.7", "65535"},
        {"[::1]:3000", "::1", "3000"},
        {"[fe80::1%eth0]", "fe80::1%eth0", "2947"},
        {"boat", "boat", "2947"},
        {":3000", "localhost", "3000"},
    };

    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        char host[128], port[16];

        cr_assert_eq(lw_conf_host_port(good[i].text, host, port, &err), 0, "%s", err.text);
        cr_assert_str_eq(host, good[i].host);
        cr_assert_str_eq(port, good[i].port);
    }
}

Test(host_port, refuses_the_rest)
{
    static const char *const bad[] = {
        "",        ":",         "boat:",    "boat:0",   "boat:65536", "boat:999999", "boat:gpsd",
        "::1",     "::1:2947",  "[::1",     "[]:2947",  "[::1]2947",  "[::1]:",      "a b:2947",
        "boat:-1", "boat: 294", "boat/x:1", "boat:29 ", "a\tb",
    };
    char host[128], port[16], endless[200];

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        cr_assert_eq(lw_conf_host_port(bad[i], host, port, &err), -1, "\"%s\" was taken", bad[i]);
    memset(endless, 'a', sizeof endless - 1);
    endless[sizeof endless - 1] = '\0';
    cr_assert_eq(lw_conf_host_port(endless, host, port, &err), -1);
}
