#include "lipwalk/base/text.h"

#include <locale.h>
#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LONGEST_NUMBER 400 /* digits of the longest double written out in full: 309 + 17 */

/* Length of the UTF-8 sequence at `s` and its code point; 0 when the bytes there are not valid
 * (overlong forms, surrogates and > U+10FFFF are not: RFC 3629). `s` is not at its end. */
static size_t decode(const unsigned char *s, uint32_t *code)
{
    static const uint32_t least[5] = {0, 0, 0x80, 0x800, 0x10000};
    size_t len;

    if (s[0] < 0x80) {
        *code = s[0];
        return 1;
    }
    if ((s[0] & 0xE0) == 0xC0) {
        len = 2;
        *code = s[0] & 0x1Fu;
    } else if ((s[0] & 0xF0) == 0xE0) {
        len = 3;
        *code = s[0] & 0x0Fu;
    } else if ((s[0] & 0xF8) == 0xF0) {
        len = 4;
        *code = s[0] & 0x07u;
    } else {
        return 0;
    }
    for (size_t i = 1; i < len; i++) {
        if ((s[i] & 0xC0) != 0x80) /* also stops at the terminator */
            return 0;
        *code = (*code << 6) | (s[i] & 0x3Fu);
    }
    if (*code < least[len] || *code > 0x10FFFF || (*code >= 0xD800 && *code <= 0xDFFF))
        return 0;
    return len;
}

/* Controls (C0, DEL, C1), line and paragraph separators, bidirectional marks and overrides. */
static bool steers(uint32_t code)
{
    return code < 0x20 || (code >= 0x7F && code <= 0x9F) || code == 0x061C || code == 0x200E ||
           code == 0x200F || (code >= 0x2028 && code <= 0x202E) ||
           (code >= 0x2066 && code <= 0x2069);
}

static bool copy(char *to, size_t size, const char *from, bool clean)
{
    const unsigned char *s = (const unsigned char *)(from ? from : "");
    size_t used = 0;

    if (size == 0)
        return false;
    while (*s) {
        uint32_t code = 0;
        size_t len = decode(s, &code);
        bool replace = clean && (len == 0 || steers(code));
        size_t take = len ? len : 1;
        size_t need = replace ? 1 : take;

        if (used + need >= size)
            break;
        if (replace)
            to[used] = '?';
        else
            memcpy(to + used, s, need);
        used += need;
        s += take;
    }
    to[used] = '\0';
    return *s == '\0';
}

bool lw_text_copy(char *to, size_t size, const char *from)
{
    return copy(to, size, from, false);
}

bool lw_text_clean(char *to, size_t size, const char *from)
{
    return copy(to, size, from, true);
}

void lw_text_add(char *to, size_t size, const char *format, ...)
{
    size_t used = strnlen(to, size);
    va_list args;
    int wanted;

    if (used + 1 >= size)
        return;
    va_start(args, format);
    wanted = vsnprintf(to + used, size - used, format, args);
    va_end(args);
    if (wanted < 0) {
        to[used] = '\0';
    } else if ((size_t)wanted >= size - used) {
        /* Cut inside a character: take its first bytes away again. */
        size_t end = size - 1, back = end;
        uint32_t code;

        while (back > used && end - back < 3 && ((unsigned char)to[back - 1] & 0xC0) == 0x80)
            back--;
        if (back > used && (unsigned char)to[back - 1] >= 0xC0 &&
            decode((unsigned char *)to + back - 1, &code) == 0)
            to[back - 1] = '\0';
    }
}

static bool is_space(char c)
{
    return c == ' ' || (c >= '\t' && c <= '\r');
}

char *lw_text_trim(char *text)
{
    char *end;

    while (is_space(*text))
        text++;
    end = text + strlen(text);
    while (end > text && is_space(end[-1]))
        end--;
    *end = '\0';
    return text;
}

void lw_text_number(char *to, size_t size, double value, int digits)
{
    char buf[LONGEST_NUMBER];
    const char *point = localeconv()->decimal_point;
    char *at;

    if (!isfinite(value)) {
        lw_text_copy(to, size, "null");
        return;
    }
    snprintf(buf, sizeof buf, "%.*g", digits, value);
    at = strcmp(point, ".") == 0 ? NULL : strstr(buf, point);
    if (at) {
        size_t len = strlen(point);

        *at = '.';
        memmove(at + 1, at + len, strlen(at + len) + 1);
    }
    lw_text_copy(to, size, buf);
}

/* Whether text[0..len) is [+-] digits [. digits] [e [+-] digits]: strtod alone would also take
 * "inf", "nan" and hexadecimal, which are no numbers of ours. */
static bool looks_decimal(const char *s, const char *end)
{
    size_t digits = 0;

    if (s < end && (*s == '+' || *s == '-'))
        s++;
    for (; s < end && *s >= '0' && *s <= '9'; s++)
        digits++;
    if (s < end && *s == '.')
        s++;
    for (; s < end && *s >= '0' && *s <= '9'; s++)
        digits++;
    if (digits == 0)
        return false;
    if (s < end && (*s == 'e' || *s == 'E')) {
        s++;
        if (s < end && (*s == '+' || *s == '-'))
            s++;
        if (s == end)
            return false;
        while (s < end && *s >= '0' && *s <= '9')
            s++;
    }
    return s == end;
}

bool lw_text_to_number(const char *text, double *out)
{
    char buf[LONGEST_NUMBER];
    const char *point = localeconv()->decimal_point;
    const char *end;
    char *stop;
    double value;

    if (!text)
        return false;
    while (is_space(*text))
        text++;
    end = text + strlen(text);
    while (end > text && is_space(end[-1]))
        end--;
    if ((size_t)(end - text) + strlen(point) >= sizeof buf || !looks_decimal(text, end))
        return false;
    buf[0] = '\0';
    for (const char *s = text; s < end; s++) {
        if (*s == '.')
            lw_text_add(buf, sizeof buf, "%s", point);
        else
            lw_text_add(buf, sizeof buf, "%c", *s);
    }
    value = strtod(buf, &stop);
    if (*stop || !isfinite(value))
        return false;
    *out = value;
    return true;
}

const char *lw_text_file_name(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? slash + 1 : path;
}
