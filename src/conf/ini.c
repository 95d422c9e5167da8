/* INI files through inih, with the line counted here so that a bad one can be named. */
#include "ini.h"

#include <ctype.h>
#include <errno.h>
#include <ini.h>
#include <stdio.h>
#include <string.h>

struct reading {
    const char *path;
    FILE *file;
    int line;
    int bad_line;        /* the first bad line; 0 none */
    struct lw_error why; /* of that line */
    conf_line_fn *fn;
    void *user;
};

/* Keeps the first bad line. inih tells of lines without '=' only at the end, hence not simply the
 * first that comes. */
static void note_bad(struct reading *reading, int line, const char *why)
{
    if (reading->bad_line && reading->bad_line <= line)
        return;
    reading->bad_line = line;
    lw_fail(&reading->why, "%s:%d: %s", reading->path, line, why);
}

/* fgets for inih, one call a line. Leading space is taken off, because inih reads an indented line
 * as more of the value above it. A line that does not fit inih's buffer would reach it in two
 * pieces, so it is named and left out. */
static char *next_line(char *to, int size, void *stream)
{
    struct reading *reading = stream;
    size_t length, lead = 0;
    int c;

    if (!fgets(to, size, reading->file))
        return NULL;
    reading->line++;
    length = strlen(to);
    while (isspace((unsigned char)to[lead]))
        lead++;
    if (length == (size_t)size - 1 && to[length - 1] != '\n') {
        while ((c = getc(reading->file)) != EOF && c != '\n')
            ;
        if (to[lead] != '#' && to[lead] != ';')
            note_bad(reading, reading->line, "the line is too long (about 200 bytes): shorten it");
        to[0] = '\0';
        lead = 0;
    }
    memmove(to, to + lead, strlen(to + lead) + 1);
    return to;
}

static int take(void *user, const char *section, const char *name, const char *value)
{
    struct reading *reading = user;
    struct lw_error why = {""};

    (void)section;
    if (reading->fn(reading->user, name, value, &why) == 0)
        return 1;
    note_bad(reading, reading->line, why.text);
    return 0;
}

int conf_ini_read(const char *path, conf_line_fn *fn, void *user, struct lw_error *err)
{
    struct reading reading = {.path = path, .fn = fn, .user = user};
    int first_bad;

    reading.file = fopen(path, "r");
    if (!reading.file)
        return errno == ENOENT || errno == ENOTDIR
                   ? 1
                   : lw_fail(err, "%s cannot be opened: %s", path, strerror(errno));
    first_bad = ini_parse_stream(next_line, &reading, take, &reading);
    if (first_bad < 0)
        note_bad(&reading, reading.line + 1, "no memory left to read the file");
    else if (first_bad > 0)
        note_bad(&reading, first_bad, "expected \"name = value\"");
    /* A folder opens for reading but does not read. */
    if (ferror(reading.file))
        note_bad(&reading, reading.line + 1, "cannot be read: is it a file?");
    fclose(reading.file);
    return reading.bad_line ? lw_fail(err, "%s", reading.why.text) : 0;
}
