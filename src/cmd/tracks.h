/* What `--add-track` names, read: the boat's own depths, trip by trip, and the cover that the crew
 * marked. */
#ifndef LIPWALK_SRC_CMD_TRACKS_H
#define LIPWALK_SRC_CMD_TRACKS_H

#include <stddef.h>

#include "lipwalk/base/error.h"
#include "lipwalk/cmd/map_args.h"
#include "lipwalk/map/import.h"

struct tracks {
    struct lw_track *track; /* track[tracks], owned; the file's order, a trip each */
    size_t tracks, track_cap;
    struct lw_crew_cover *crew; /* crew[crews], owned */
    size_t crews, crew_cap;
    char note[4][256]; /* what a person should know */
    int notes;
};
/* Reads args->track: journals (all trips in them; positions with the trip's map shift added, which
 * is how they lie on the map; rocks and weed marked, without those taken back) and other files with
 * depths (lw_track_read). A journal is not changed. -1 with a sentence; free with tracks_free then
 * as well. */
int tracks_read(const struct lw_map_args *args, struct tracks *out, struct lw_error *err);
void tracks_free(struct tracks *tracks);

#endif
