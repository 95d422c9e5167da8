/* HOST:PORT texts. */
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "lipwalk/base/text.h"
#include "lipwalk/conf/settings.h"

/* gpsd's registered port (IANA, service name gpsd). */
#define USUAL_HOST "localhost"
#define USUAL_PORT "2947"

static int not_host(const char *text, struct lw_error *err)
{
    return lw_fail(err,
                   "\"%s\" is not HOST:PORT, [IPv6]:PORT, HOST or :PORT with a port of 1 to "
                   "65535",
                   text);
}

/* Splits at the colon before the port; false when the shape is wrong. */
static bool split(const char *text, const char **host, size_t *length, const char **port)
{
    const char *end, *colon;

    if (text[0] == '[') {
        end = strchr(text, ']');
        if (!end || end == text + 1 || (end[1] != ':' && end[1] != '\0'))
            return false;
        *host = text + 1;
        *length = (size_t)(end - *host);
        *port = end[1] ? end + 2 : USUAL_PORT;
        return true;
    }
    colon = strchr(text, ':');
    /* A bare ::1 could end in a port or not: brackets say which. */
    if (text[0] == '\0' || (colon && strchr(colon + 1, ':')))
        return false;
    *host = colon == text ? USUAL_HOST : text;
    *length = colon && colon != text ? (size_t)(colon - text) : strlen(*host);
    *port = colon ? colon + 1 : USUAL_PORT;
    return true;
}

int lw_conf_host_port(const char *text, char host[128], char port[16], struct lw_error *err)
{
    const char *name, *number;
    size_t length, digits;

    if (!split(text, &name, &length, &number))
        return not_host(text, err);
    digits = strspn(number, "0123456789");
    if (length >= 128 || digits < 1 || digits > 5 || number[digits] || atoi(number) < 1 ||
        atoi(number) > 65535)
        return not_host(text, err);
    for (size_t i = 0; i < length; i++)
        if ((unsigned char)name[i] <= ' ' || name[i] == '/' || name[i] == '@')
            return not_host(text, err);
    memcpy(host, name, length);
    host[length] = '\0';
    lw_text_copy(port, 16, number);
    return 0;
}
