/* The plan file: GeoJSON (RFC 7946), features with a `role`, read back losing nothing.
 *
 * Roles: edge (the whole line), hold, station, cast, belt, detour (the way round a gap of the hold
 * line, or no geometry where none is known), made (casts made before it was made anew). The
 * collection's `lipwalk` member has version, standoff_m, deep_side ("left"|"right"), coverage,
 * casts, minutes and every parameter used, and the frame's origin. Positions are written to 1e-10
 * degrees (0.01 mm). */
#ifndef LIPWALK_PLAN_FILE_H
#define LIPWALK_PLAN_FILE_H

#include "lipwalk/base/error.h"
#include "lipwalk/plan/plan.h"

#define LW_PLAN_VERSION 2

/* Writes beside the path and renames over it, so that a full disk leaves the old file. */
int lw_plan_write(const struct lw_plan *plan, const char *path, struct lw_error *err);
/* Reads one; every missing or wrong member is named. Unknown roles and members are ignored. */
int lw_plan_read(const char *path, struct lw_plan **out, struct lw_error *err);

#endif
