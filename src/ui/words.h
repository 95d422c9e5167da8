/* How figures are said on the screens: one place for lengths, spans, directions, states. All texts
 * end up in `to[size]`, always terminated. */
#ifndef LIPWALK_SRC_UI_WORDS_H
#define LIPWALK_SRC_UI_WORDS_H

#include <stddef.h>
#include <stdint.h>

#include "lipwalk/ui/view.h"

/* A length as it is steered by: whole feet, or metres with a decimal below 100. */
void ui_words_length(char *to, size_t size, double m, enum lw_units units);
void ui_words_length_bare(char *to, size_t size, double m, enum lw_units units);
/* Whether a printed length came to nothing: "0 ft", "0.0 m". */
bool ui_words_is_zero(const char *length);
/* A way to go: feet up to 1000, then miles; metres up to 1000, then kilometres. */
void ui_words_way(char *to, size_t size, double m, enum lw_units units);
/* Minutes and seconds, "12:40"; from an hour on "5 h 12". */
void ui_words_span(char *to, size_t size, double s);
/* Like "7 min", "40 s", "5 h 12". */
void ui_words_about(char *to, size_t size, double s);
/* One of N, NE, E, ... for a true bearing; "" for NaN. */
const char *ui_words_compass(double bearing_deg);
/* "2 o'clock", or "bearing 045" where the heading is unknown (clock 0). */
void ui_words_toward(char *to, size_t size, int clock, double bearing_deg);

/* On the hold line and at the station whose fan is cast: a way to steer would be noise. */
bool ui_words_stays(const struct lw_guidance *g);
/* On the hold line with the bow along it: nothing to turn to. */
bool ui_words_straight(const struct lw_guidance *g);
/* "steer 2 o'clock", or "steer 160 S"; "stay here, cast", "straight on". */
void ui_words_steer(char *to, size_t size, const struct lw_view *view);

/* Why there is no guidance, as a sentence; "" when there is. */
void ui_words_no_guidance(char *to, size_t size, const struct lw_view *view);
/* The same in a word or two, for big letters. */
void ui_words_no_guidance_big(char *to, size_t size, const struct lw_view *view);
/* The fix in the header: "3D ±6 ft  0.4 s"; `ascii` says +- */
void ui_words_fix(char *to, size_t size, const struct lw_view *view, bool ascii);
/* "3 ft OUT", "ON, 1 ft out"; the role says whether that is good. */
enum lw_role ui_words_side(char *to, size_t size, const struct lw_view *view);
/* "due in 18 min", "rests until 16:10", "LATE by 12 min". */
void ui_words_return(char *to, size_t size, const struct lw_view *view,
                     const struct lw_return *ret);
/* The way to a place from the boat, "0.3 mi NE"; "" when either is unknown. */
void ui_words_way_to(char *to, size_t size, const struct lw_view *view, struct lw_ll at);
/* "12:40 left of 20:00". */
void ui_words_dwell(char *to, size_t size, const struct lw_view *view);
/* "light 5 h 12", "dusk till 21:10", "dark"; "" when the sun is unknown. */
void ui_words_light(char *to, size_t size, const struct lw_view *view);
/* What is near and how far: "rock 60 ft, 2 o'clock", "rock under the boat"; "" none. A deep one is
 * none to hit: ordinary words. */
enum lw_role ui_words_hazard(char *to, size_t size, const struct lw_view *view);
/* "4 ft over it"; "" unknown. */
void ui_words_hazard_depth(char *to, size_t size, const struct lw_view *view);
/* "last bite 7 min ago (Rae)"; "" when none. */
void ui_words_last_bite(char *to, size_t size, const struct lw_view *view);
/* "hole 120 to 160 ft", "3 holes, first 120 to 160 ft"; "" where nothing was passed over. */
void ui_words_hole(char *to, size_t size, const struct lw_view *view);
/* "41 casts made, 3 bites, 1 fish, 38 % worked". */
void ui_words_tally(char *to, size_t size, const struct lw_view *view);
/* What is worked: "9 ft edge, 1378 ft"; "no edge yet". */
void ui_words_edge(char *to, size_t size, const struct lw_view *view);
/* Names of the crew: 0 angler, 1 co-angler. */
const char *ui_words_crew(const struct lw_view *view, int who);
enum lw_units ui_units(const struct lw_view *view);

#endif
