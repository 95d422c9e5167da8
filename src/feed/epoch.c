#include "lipwalk/feed/epoch.h"

#include <math.h>

/* This many parts in a row with an older time: the clock has stepped back for good. */
#define BACK_FOR_GOOD 3

static const struct lw_fix nothing = {
    .at = {NAN, NAN}, .sog_mps = NAN, .cog_deg = NAN, .eph_m = NAN, .hdop = NAN};

void lw_epoch_clear(struct lw_epoch *epoch)
{
    epoch->run = nothing;
    epoch->back = 0;
    epoch->given = false;
}

static void keep(double *field, double newer)
{
    if (!isnan(newer))
        *field = newer;
}

static void merge(struct lw_fix *run, const struct lw_fix *part)
{
    if (part->at_utc_ms != 0)
        run->at_utc_ms = part->at_utc_ms;
    if (part->seen_mono_ms > run->seen_mono_ms)
        run->seen_mono_ms = part->seen_mono_ms;
    /* The sentences of one epoch know the mode to different depths: a GLL can only say 2-D after
     * the GGA said 3-D. */
    if (part->mode > run->mode)
        run->mode = part->mode;
    if (lw_ll_known(part->at))
        run->at = part->at;
    keep(&run->sog_mps, part->sog_mps);
    keep(&run->cog_deg, part->cog_deg);
    keep(&run->eph_m, part->eph_m);
    keep(&run->hdop, part->hdop);
}

static bool running(const struct lw_epoch *epoch)
{
    return epoch->run.at_utc_ms != 0;
}

bool lw_epoch_ready(const struct lw_epoch *epoch)
{
    const struct lw_fix *run = &epoch->run;

    return running(epoch) && !epoch->given &&
           (run->mode == 1 || (run->mode >= 2 && lw_ll_known(run->at)));
}

static bool close_epoch(struct lw_epoch *epoch, struct lw_fix *done)
{
    bool give = lw_epoch_ready(epoch);

    if (give)
        *done = epoch->run;
    lw_epoch_clear(epoch);
    return give;
}

bool lw_epoch_part(struct lw_epoch *epoch, const struct lw_fix *part, struct lw_fix *done)
{
    bool give = false;

    if (part->at_utc_ms != 0 && running(epoch)) {
        if (part->at_utc_ms < epoch->run.at_utc_ms) {
            if (++epoch->back < BACK_FOR_GOOD)
                return false;
            give = close_epoch(epoch, done);
        } else if (part->at_utc_ms > epoch->run.at_utc_ms) {
            give = close_epoch(epoch, done);
        } else {
            epoch->back = 0;
        }
    }
    merge(&epoch->run, part);
    return give;
}

bool lw_epoch_quiet(struct lw_epoch *epoch, int64_t mono_ms, int64_t quiet_ms, struct lw_fix *done)
{
    if (!lw_epoch_ready(epoch) || mono_ms - epoch->run.seen_mono_ms < quiet_ms)
        return false;
    *done = epoch->run;
    epoch->given = true;
    return true;
}
