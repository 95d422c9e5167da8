/* The chart as a picture to print. */
#include "chart_out.h"
#include "lipwalk/base/clock.h"
#include "lipwalk/share/picture.h"

int lw_chart_draw(const struct lw_chart *chart, const struct lw_lips *lips, double stage_m,
                  enum lw_units units, const char *path, struct lw_error *err)
{
    struct lw_picture picture = {.chart = chart, .lips = lips, .units = units, .stage_m = stage_m};

    lw_clock_local(picture.date, sizeof picture.date, lw_clock_system_utc_ms(), "%Y-%m-%d");
    return lw_picture_write(&picture, path, err);
}
