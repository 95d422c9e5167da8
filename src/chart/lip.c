/* Finding lips. */
#include "lipwalk/chart/lip.h"

int lw_lips_find(const struct lw_chart *chart, struct lw_lips *out, struct lw_error *err)
{
    (void)chart;
    *out = (struct lw_lips){0};
    return lw_fail(err, "lips are not found yet");
}

void lw_lips_free(struct lw_lips *lips)
{
    *lips = (struct lw_lips){0};
}

const char *lw_lip_kind_name(enum lw_lip_kind kind)
{
    return kind == LW_LIP_SHORE ? "shore" : kind == LW_LIP_HUMP ? "hump" : "other";
}
