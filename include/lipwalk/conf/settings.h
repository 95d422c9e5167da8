/* The settings: one table feeds defaults, the config file, the commands' options and their help.
 *
 * The config file is INI under $XDG_CONFIG_HOME/lipwalk/lipwalk.conf, one `name = value` a line,
 * values with units as base/units.h reads them. */
#ifndef LIPWALK_CONF_SETTINGS_H
#define LIPWALK_CONF_SETTINGS_H

#include <stddef.h>
#include <stdint.h>

#include "lipwalk/base/error.h"
#include "lipwalk/base/units.h"

/* X(ENUM, "name", quantity, default in SI, min, max, "help") */
#define LW_SETTINGS_NUMBERS(X)                                                                     \
    X(STANDOFF, "standoff", LW_LENGTH, 10.668, 0, 100, "distance kept off the edge")               \
    X(TOLERANCE, "tolerance", LW_LENGTH, 1.524, 0.3, 30,                                           \
      "how far from the hold line is still on it")                                                 \
    X(CAST, "cast", LW_LENGTH, 24.384, 5, 80,                                                      \
      "longest cast of the angler in still air with a 1/4 oz head")                                \
    X(CO_CAST, "co-cast", LW_LENGTH, 0, 0, 80,                                                     \
      "longest cast of the co-angler, alike; 0: as the angler's")                                  \
    X(FAN_HALF, "fan-half", LW_ANGLE, 65, 0, 80, "no cast is farther from square to the edge")     \
    X(BOW_MIN, "bow-min", LW_ANGLE, 20, 0, 90, "no cast is nearer to the bow")                     \
    X(BOW_MAX, "bow-max", LW_ANGLE, 160, 90, 180, "no cast is nearer to the stern")                \
    X(SWATH, "swath", LW_LENGTH, 2.4384, 0.3, 20, "width that one retrieve works")                 \
    X(UP, "up", LW_LENGTH, 6.096, 0, 100, "how far up the flat the belt reaches")                  \
    X(PAST, "past", LW_LENGTH, 3.048, 0, 100, "how far past the lip the belt reaches")             \
    X(COVERAGE, "coverage", LW_RATIO, 0.95, 0.01, 1,                                               \
      "share to cover of what of the belt can be reached")                                         \
    X(LIP_WORTH, "lip-worth", LW_RATIO, 2, 1, 20,                                                  \
      "worth of water at the edge beside water at the belt's border")                              \
    X(MOVE_TIME, "move-time", LW_DURATION, 20, 0, 600, "time of a stop: moving on, settling")      \
    X(BOAT_SPEED, "boat-speed", LW_SPEED, 0.357632, 0.05, 5, "speed along the hold line")          \
    X(CAST_TIME, "cast-time", LW_DURATION, 10, 1, 600, "handling of one cast beside its retrieve") \
    X(RETRIEVE, "retrieve", LW_SPEED, 0.4572, 0.05, 5, "speed of the bait")                        \
    X(HEAD, "head", LW_MASS, 0.00708738078125, 0.0005, 0.2, "weight of the jig's head")            \
    X(FALL_FACTOR, "fall-factor", LW_RATIO, 1, 0.2, 3,                                             \
      "what a timed drop makes of the fall speed")                                                 \
    X(ABOVE, "above", LW_LENGTH, 0.3048, 0, 10, "wanted height of the bait over the bottom")       \
    X(DRAFT, "draft", LW_DEPTH, 0.6096, 0, 10, "water that the boat needs")                        \
    X(CLEARANCE, "clearance", LW_LENGTH, 3, 0, 100, "kept from land and shoals on a way")          \
    X(BERTH, "berth", LW_LENGTH, 10, 0, 200, "kept from hazards")                                  \
    X(MIN_DEPTH, "min-depth", LW_DEPTH, 0.9144, 0, 100, "the hold line leaves shallower water")    \
    X(FORWARD, "antenna-forward", LW_LENGTH, 0, -30, 30,                                           \
      "antenna ahead of the caster (+ to the bow)")                                                \
    X(STARBOARD, "antenna-starboard", LW_LENGTH, 0, -10, 10, "antenna to the right of the caster") \
    X(VARIATION, "variation", LW_ANGLE, 0, -60, 60,                                                \
      "magnetic variation, + east, for a magnetic heading")                                        \
    X(DWELL, "dwell", LW_DURATION, 1200, 60, 7200, "time given to a place after a bite")           \
    X(AWAY, "away", LW_DURATION, 300, 10, 3600, "a dwell ends after so long away")                 \
    X(PLACE_RADIUS, "place-radius", LW_LENGTH, 20, 3, 200, "marks within it are one place")        \
    X(RETURN_AFTER, "return-after", LW_DURATION, 9000, 300, 43200,                                 \
      "a return is due so long after the dwell")                                                   \
    X(RIPE_BEFORE, "ripe-before", LW_DURATION, 900, 0, 7200,                                       \
      "a return is ripe so long before it is due")                                                 \
    X(LATE_AFTER, "late-after", LW_DURATION, 1800, 60, 14400,                                      \
      "a return is late so long after it was due")                                                 \
    X(NEAR, "near", LW_LENGTH, 60, 5, 1000, "passing so near calls a ripe return again")           \
    X(SNOOZE, "snooze", LW_DURATION, 1800, 60, 14400, "how far a snooze moves a return")           \
    X(DRAW_RATE, "draw-rate", LW_COUNT, 10, 1, 30, "screen updates a second, at most")

/* X(ENUM, "name", default, "help") */
#define LW_SETTINGS_TEXTS(X)                                                                       \
    X(UNITS, "units", "us", "us or metric: what a bare number means and what is shown")            \
    X(GPSD, "gpsd", "localhost:2947", "where gpsd listens, HOST:PORT")                             \
    X(THEME, "theme", "plain", "name of a file in themes/, without .theme")                        \
    X(ANGLER, "angler", "angler", "name shown for marks from the left hand keys")                  \
    X(COANGLER, "co-angler", "co-angler", "name shown for marks from the right hand keys")         \
    X(DAY_END, "day-end", "sunset",                                                                \
      "sunset, dusk, or a local time like 19:30: returns come before it")                          \
    X(ASSUME_CASTS, "assume-casts", "off",                                                         \
      "on or off: a cast counts as made when its time at the station is over")                     \
    X(BELL, "bell", "on", "on or off: ring the terminal's bell")                                   \
    X(GLYPHS, "glyphs", "auto", "auto, utf8 or ascii")

enum lw_setting_number {
#define X(e, n, q, d, lo, hi, h) LW_SET_##e,
    LW_SETTINGS_NUMBERS(X)
#undef X
        LW_SET_NUMBERS
};
enum lw_setting_text {
#define X(e, n, d, h) LW_SET_##e,
    LW_SETTINGS_TEXTS(X)
#undef X
        LW_SET_TEXTS
};

struct lw_conf {
    double number[LW_SET_NUMBERS]; /* SI */
    char text[LW_SET_TEXTS][64];
};

struct lw_setting_info {
    const char *name, *help;
    enum lw_quantity quantity;
    double fallback, min, max; /* SI; numbers only */
    const char *fallback_text; /* texts only, else NULL */
};
/* A setting's row of the table, static. */
const struct lw_setting_info *lw_conf_number_info(enum lw_setting_number which);
const struct lw_setting_info *lw_conf_text_info(enum lw_setting_text which);

/* The table's defaults. */
void lw_conf_defaults(struct lw_conf *conf);
/* What the setting `units` says. */
enum lw_units lw_conf_units(const struct lw_conf *conf);
/* Sets one by name from text; the sentence names the setting and its range. */
int lw_conf_set(struct lw_conf *conf, const char *name, const char *value, struct lw_error *err);
/* Reads the file over `conf`. A bad line is skipped and named in `err` (the first of them) with -1,
 * the good ones count. path NULL: the usual place; a missing usual file is not an error. */
int lw_conf_load(struct lw_conf *conf, const char *path, struct lw_error *err);

/* HOST:PORT, [v6]:PORT, HOST or :PORT into its two parts. */
int lw_conf_host_port(const char *text, char host[128], char port[16], struct lw_error *err);

#endif
