/* The closed-loop score: how well a boat that follows the guidance keeps the hold line, judged by
 * where it truly was. Pure; as fast as it can. */
#ifndef LIPWALK_CMD_CLOSED_LOOP_H
#define LIPWALK_CMD_CLOSED_LOOP_H

#include <stdint.h>

#include "helm.h"

struct closed_loop_in {
    const struct lw_plan *plan;
    const struct lw_chart *chart; /* may be NULL */
    struct helm_rules rules;
    struct lw_sim_rules sim;
    double minutes;
    int rate_hz;
    int64_t start_utc_ms;
};
struct closed_loop_score {
    double within_tol_true; /* share of epochs with the boat truly within the tolerance */
    double within_tol_est;  /* ... as shown */
    double off_rmse_m;      /* shown against true */
    double raw_rmse_m;      /* the receiver's own fixes against true */
    double lag_s;           /* see closed_loop_lag; NaN when it has no clear peak */
    int stations_held;
};
void closed_loop_run(const struct closed_loop_in *in, struct closed_loop_score *score);

/* By how much the shown off lags the true one. In a run of its own the boat is carried 3.048 m (10
 * ft) out from the hold line and back, over 3 s each, every 20 s, with the receiver's errors as
 * they are; the shown figure stands between epochs, as on the screen. The lag is where the
 * correlation of shown and true is highest, by steps of 0.1 s from -2 s to 6 s. */
double closed_loop_lag(const struct closed_loop_in *in);

#endif
