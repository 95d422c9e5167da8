/* Command lines: one table an option, which feeds parsing and `--help`.
 *
 * Options are long (`--name VALUE` or `--name=VALUE`); what is no option is a positional. Values
 * with units go through base/units.h. A wrong call is exit status 2, what could not be done 1. */
#ifndef LIPWALK_CMD_ARGS_H
#define LIPWALK_CMD_ARGS_H

#include <stdbool.h>
#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"
#include "lipwalk/conf/settings.h"

enum lw_arg_kind {
    LW_ARG_FLAG,     /* bool * */
    LW_ARG_TEXT,     /* const char ** */
    LW_ARG_TEXTS,    /* struct lw_arg_texts *: may be repeated */
    LW_ARG_QUANTITY, /* double *, SI, by `quantity` */
    LW_ARG_LAT_LON,  /* struct lw_ll * */
    LW_ARG_INT,      /* long *, >= 0 */
    LW_ARG_SETTING   /* struct lw_conf *: sets the setting of the option's name */
};
#define LW_ARG_TEXTS_MAX 32
struct lw_arg_texts {
    const char *text[LW_ARG_TEXTS_MAX];
    int n;
};
struct lw_arg {
    const char *name; /* without dashes */
    enum lw_arg_kind kind;
    void *to;
    const char *value; /* what help calls the value, "LAT,LON"; NULL for a flag */
    const char *help;
    enum lw_quantity quantity; /* LW_ARG_QUANTITY */
};

struct lw_call {                 /* a command's call */
    const char *name;            /* "chart" */
    const char *usage;           /* "MAP [options]" */
    const char *summary;         /* one sentence */
    const struct lw_arg *arg[4]; /* up to four tables, used in order */
    size_t args[4];
    struct lw_arg_texts *positional; /* NULL: none allowed */
    const struct lw_conf *conf;      /* for the meaning of bare numbers */
};

/* Reads argv[1..]. Returns -1 when all is well: go on. Otherwise the exit status to end with: 0
 * after
 * `--help` was printed to stdout, 2 after the fault was said on stderr. */
int lw_args_read(const struct lw_call *call, int argc, char **argv);

/* Fills to[n] with an option for each of those settings, by its own name and help. */
void lw_args_of_settings(struct lw_arg *to, const enum lw_setting_number *which, size_t n,
                         struct lw_conf *conf);

/* A wind as people type it, "10mph" or "10mph@250": m/s, and the bearing that it comes from, which
 * stays as it was where none is given. */
int lw_cmd_wind(const char *text, enum lw_units units, double *mps, double *from_deg,
                struct lw_error *err);

/* Says `lipwalk NAME: sentence` on stderr and returns 1 (could not) or 2 (wrong call). */
int lw_cmd_fail(const char *name, const struct lw_error *err);
int lw_cmd_usage(const char *name, const char *sentence);

/* Defaults, then the config file. A bad config line is said on stderr, and in `trouble` ("" none;
 * may be NULL) for who draws over it; the rest counts. */
void lw_cmd_conf(struct lw_conf *conf, struct lw_error *trouble);

/* Flushes stdout; 0, or 1 with a sentence when it could not be written (a full disk, a closed
 * pipe). Commands end with `return lw_cmd_done(NAME)`. */
int lw_cmd_done(const char *name);

#endif
