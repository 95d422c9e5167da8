/* Names of attributes and layers that say what a feature is. Common practice, no source. */
#ifndef LIPWALK_SRC_MAP_VECTOR_WORDS_H
#define LIPWALK_SRC_MAP_VECTOR_WORDS_H

#include <stdbool.h>

bool lw_word_is_kind(const char *attribute);   /* "TYPE", "feature_cl", "hazard" */
bool lw_word_is_bottom(const char *attribute); /* "bottom", "Substrate", "VEG_TYPE" */
bool lw_word_is_remark(const char *attribute); /* "name", "remarks", "INFORM" */
bool lw_word_is_shore(const char *layer);      /* "shoreline", "lake_outline", "Islands" */
bool lw_word_is_island(const char *layer);     /* "Islands": a shore that another shore lacks */
bool lw_word_is_map(const char *layer);        /* "stump_lake_contours": a lake's map by name */

#endif
