/* How fast `off` changes: a line through the last seconds. */
#include <math.h>

#include "parts.h"

#define WINDOW_MS   5000 /* shorter is noise, longer comes late */
#define SPAN_MIN_MS 2000
#define POINTS_MIN  3

static void note(struct lw_guide_memory *m, int64_t at_utc_ms, double off_m)
{
    int newest = (m->next + LW_TREND_POINTS - 1) % LW_TREND_POINTS;

    if (m->n > 0) {
        int64_t step = at_utc_ms - m->point[newest].at_utc_ms;

        if (step == 0)
            return; /* the same epoch, asked for again */
        if (step < 0 || step > WINDOW_MS)
            m->n = m->next = 0; /* the clock stepped, or the boat was not seen for a while */
    }
    m->point[m->next].at_utc_ms = at_utc_ms;
    m->point[m->next].off_m = off_m;
    m->next = (m->next + 1) % LW_TREND_POINTS;
    if (m->n < LW_TREND_POINTS)
        m->n++;
}

double guide_off_rate(struct lw_guide_memory *memory, int64_t at_utc_ms, double off_m)
{
    double st = 0, so = 0, stt = 0, sto = 0, n = 0, span_ms = 0;

    note(memory, at_utc_ms, off_m);
    for (int i = 1; i <= memory->n; i++) {
        int at = (memory->next + LW_TREND_POINTS - i) % LW_TREND_POINTS;
        double age_ms = (double)(at_utc_ms - memory->point[at].at_utc_ms);
        double t = -age_ms / 1000.0, o = memory->point[at].off_m;

        if (age_ms > WINDOW_MS)
            break;
        n += 1;
        st += t;
        so += o;
        stt += t * t;
        sto += t * o;
        span_ms = age_ms;
    }
    if (n < POINTS_MIN || span_ms < SPAN_MIN_MS)
        return NAN;
    return (n * sto - st * so) / (n * stt - st * st);
}
