#include "lipwalk/guide/guide.h"

#include <math.h>
#include <string.h>

#include "parts.h"

/* How long a sensor's word counts. Water changes slowly; a heading does not. */
#define HEADING_MAX_MS 3000
#define DEPTH_MAX_MS   5000
#define WIND_MAX_MS    10000
#define WATER_MAX_MS   60000
/* Slower than this the course is noise and says nothing of the bow. */
#define COURSE_MIN_MPS 0.4
#define STEADY_MPS     0.05

static void clear(struct lw_guidance *out)
{
    memset(out, 0, sizeof *out);
    out->caster.lat_deg = out->caster.lon_deg = NAN;
    out->caster_en.e_m = out->caster_en.n_m = NAN;
    out->sigma_m = out->off_m = out->dev_m = out->off_rate_mps = NAN;
    out->along_m = out->beat_m = out->sog_mps = out->cog_deg = out->heading_deg = NAN;
    out->depth_m = out->map_depth_m = out->water_c = NAN;
    out->wind_mps = out->wind_from_deg = NAN;
    out->steer_deg = out->station_m = out->station_deg = NAN;
    out->cast_deg = out->cast_m = out->cast_depth_m = out->cast_crosses = NAN;
    out->hazard_m = out->hazard_deg = out->hazard_depth_m = NAN;
    out->dwell_back_m = out->dwell_back_deg = out->freeze_back_m = out->freeze_back_deg = NAN;
}

static void sense(const struct lw_guide_in *in, struct lw_guidance *out)
{
    const struct lw_readings *r = in->readings;

    out->water_c = in->typed_water_c;
    out->wind_mps = in->typed_wind_mps;
    out->wind_from_deg = in->typed_wind_from_deg;
    if (!r)
        return;
    out->depth_m = lw_reading_fresh(r->depth_m, in->mono_ms, DEPTH_MAX_MS);
    out->depth_sensor = !isnan(out->depth_m);
    out->water_sensor = !isnan(lw_reading_fresh(r->water_c, in->mono_ms, WATER_MAX_MS));
    if (out->water_sensor)
        out->water_c = r->water_c.value;
    out->wind_sensor = !isnan(lw_reading_fresh(r->wind_mps, in->mono_ms, WIND_MAX_MS));
    if (out->wind_sensor) {
        out->wind_mps = r->wind_mps.value;
        out->wind_from_deg = lw_reading_fresh(r->wind_from_deg, in->mono_ms, WIND_MAX_MS);
    }
    out->heading_deg = lw_reading_fresh(r->heading_deg, in->mono_ms, HEADING_MAX_MS);
    if (!isnan(out->heading_deg))
        out->heading_source = r->heading_source;
}

static void motion(struct lw_guidance *out)
{
    out->sog_mps = out->estimate.sog_mps;
    out->cog_deg = out->estimate.cog_deg;
    if (out->heading_source == LW_HEADING_NONE && out->sog_mps > COURSE_MIN_MPS &&
        !isnan(out->cog_deg)) {
        out->heading_deg = out->cog_deg;
        out->heading_source = LW_HEADING_COG;
    }
}

/* The caster from the antenna: the antenna is forward_m ahead and starboard_m to the right. */
static void place(const struct lw_guide_in *in, struct lw_guidance *out)
{
    struct lw_frame frame = {out->estimate.at};
    struct lw_en at;

    if (in->plan)
        frame = in->plan->frame;
    else if (in->chart)
        frame = in->chart->frame;
    at = lw_frame_to_en(&frame, out->estimate.at);
    if (out->heading_source != LW_HEADING_NONE) {
        at = lw_en_step(at, out->heading_deg, -in->forward_m);
        at = lw_en_step(at, out->heading_deg + 90.0, -in->starboard_m);
    }
    out->caster = lw_frame_to_ll(&frame, at);
    out->shift = in->shift;
    out->caster_en.e_m = at.e_m + in->shift.e_m;
    out->caster_en.n_m = at.n_m + in->shift.n_m;
    out->sigma_m = out->estimate.sigma_m;
    if (in->chart) {
        at = lw_frame_to_en(&in->chart->frame, out->caster);
        at.e_m += in->shift.e_m;
        at.n_m += in->shift.n_m;
        out->map_depth_m = lw_chart_depth(in->chart, at) + in->level_m;
    }
}

/* Past the end of an open edge the nearest point is the end itself, and the distance to it grows
 * with a boat that runs straight on. The edge is taken to go on straight there. */
static void extend_edge(const struct lw_plan *plan, struct lw_en boat, struct lw_offset_at *at)
{
    double bearing = at->along_bearing_deg * M_PI / 180.0;
    double e_m = boat.e_m - at->foot.e_m, n_m = boat.n_m - at->foot.n_m;
    double right_m = e_m * cos(bearing) - n_m * sin(bearing);

    at->along_m += e_m * sin(bearing) + n_m * cos(bearing);
    at->off_m = plan->deep_left ? -right_m : right_m;
}

static void deviate(const struct lw_guide_in *in, struct lw_guide_memory *memory,
                    struct lw_guidance *out)
{
    struct lw_offset_at at = lw_plan_offset(in->plan, out->caster_en);
    double side = guide_side(in->plan);

    if (at.past_end)
        extend_edge(in->plan, out->caster_en, &at);
    out->off_m = at.off_m;
    out->along_m = at.along_m;
    out->beat_m = lw_plan_beat_length(in->plan);
    out->dev_m = side * at.off_m - in->plan->params.standoff_m;
    if (!isnan(in->plan->edge_sigma_m))
        out->sigma_m = hypot(out->sigma_m, in->plan->edge_sigma_m);
    if (fabs(out->dev_m) > in->tolerance_m)
        out->side = out->dev_m > 0.0 ? LW_SIDE_OUT : LW_SIDE_IN;
    out->off_rate_mps = side * guide_off_rate(memory, out->estimate.at_utc_ms, at.off_m);
    if (isnan(out->off_rate_mps))
        out->trend = LW_TREND_UNKNOWN;
    else if (fabs(out->off_rate_mps) < STEADY_MPS)
        out->trend = LW_TREND_STEADY;
    else
        out->trend = out->off_rate_mps > 0.0 ? LW_TREND_GOING_OUT : LW_TREND_COMING_IN;
}

static void ways_back(const struct lw_guide_in *in, struct lw_guidance *out)
{
    struct lw_trip_now now;
    struct lw_where where;
    const struct lw_place *places;
    size_t n;

    lw_trip_at(in->trip, in->now_utc_ms, &now);
    places = lw_trip_places(in->trip, &n);
    if (now.dwell.open && now.dwell.place >= 0 && (size_t)now.dwell.place < n)
        lw_geodesic(out->caster, places[now.dwell.place].at, &out->dwell_back_m,
                    &out->dwell_back_deg);
    if (lw_trip_frozen(in->trip, &where, NULL) && lw_ll_known(where.at))
        lw_geodesic(out->caster, where.at, &out->freeze_back_m, &out->freeze_back_deg);
}

void lw_guide_step(const struct lw_guide_in *in, struct lw_guide_memory *memory,
                   struct lw_guidance *out)
{
    clear(out);
    out->level_m = in->level_m;
    out->estimate = in->estimate;
    out->ok = in->estimate.state >= LW_FIX_2D && lw_ll_known(in->estimate.at);
    sense(in, out);
    if (out->ok) {
        motion(out);
        place(in, out);
        if (in->plan) {
            deviate(in, memory, out);
            guide_work(in, memory, out);
            guide_steer(in, out);
        }
        guide_ground(in, out);
        if (in->trip)
            ways_back(in, out);
    }
    guide_alarms(in, out);
}

struct lw_ll lw_guide_bait(const struct lw_plan *plan, const struct lw_guidance *guidance,
                           bool *from_cast)
{
    const struct lw_cast *cast;
    struct lw_en at;

    *from_cast = false;
    if (!plan || !guidance->ok)
        return (struct lw_ll){NAN, NAN};
    cast = guide_cast(plan, guidance->station, guidance->cast);
    *from_cast = cast && guidance->cast_m <= GUIDE_REACH * cast->length_m;
    at = *from_cast ? cast->to : lw_plan_offset(plan, guidance->caster_en).foot;
    at.e_m -= guidance->shift.e_m;
    at.n_m -= guidance->shift.n_m;
    return lw_frame_to_ll(&plan->frame, at);
}

bool lw_guide_shift(const struct lw_plan *plan, const struct lw_guidance *guidance,
                    struct lw_en *add)
{
    struct lw_en foot;

    if (!plan || !guidance->ok)
        return false;
    foot = lw_plan_offset(plan, guidance->caster_en).foot;
    add->e_m = foot.e_m - guidance->caster_en.e_m;
    add->n_m = foot.n_m - guidance->caster_en.n_m;
    return true;
}
