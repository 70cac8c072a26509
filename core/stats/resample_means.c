#include "stats/resample_means.h"

#include "base/dd.h"

void rs_mean(double *x, double *y, const wa_dd sums[2], size_t count)
{
    *x = wa_dd_div(sums[0], wa_dd_of((double)count)).hi;
    *y = wa_dd_div(sums[1], wa_dd_of((double)count)).hi;
}

static bool line(const rs_means *m)
{
    return m->s->of == WA_RESAMPLE_BINS_LINE;
}

static void change(rs_means *m, double sign, double x, double y)
{
    if (!line(m)) { /* through the origin: the centre is 0 */
        wa_exact_add_product(&m->sum[2], sign * x, x);
        wa_exact_add_product(&m->sum[3], sign * x, y);
        return;
    }
    wa_exact_add(&m->sum[0], sign * x);
    wa_exact_add(&m->sum[0], -sign * m->cx);
    wa_exact_add(&m->sum[1], sign * y);
    wa_exact_add(&m->sum[1], -sign * m->cy);
    rs_add_central(&m->sum[2], sign, x, m->cx, x, m->cx);
    rs_add_central(&m->sum[3], sign, x, m->cx, y, m->cy);
}

void rs_means_add(rs_means *m, double x, double y)
{
    change(m, 1, x, y);
    m->n++;
}

void rs_means_take_away(rs_means *m, double x, double y)
{
    change(m, -1, x, y);
    m->n--;
}

void rs_means_take(rs_means *m, const rs_sample *s, const wa_dd *sums, const size_t *count)
{
    *m = (rs_means){.s = s};
    for (size_t g = 0; g < s->groups; g++) {
        double x, y;
        if (count[g] < s->bins->at_least)
            continue;
        rs_mean(&x, &y, sums + 2 * g, count[g]);
        if (m->n == 0) {
            m->first = g;
            m->cx = x; /* any centre near the means does: it takes away what would cancel */
            m->cy = y;
        }
        rs_means_add(m, x, y);
    }
}

bool rs_means_value(double *out, const rs_means *m)
{
    wa_dd sum[4] = {{0, 0}}, value, intercept;
    for (int k = line(m) ? 0 : 2; k < 4; k++)
        sum[k] = wa_exact_round_dd(&m->sum[k]);
    if (line(m)) {
        if (m->n < 3 || !rs_line(&value, &intercept, sum, m->n))
            return false;
    } else {
        if (m->n < 2 || !(sum[2].hi > 0))
            return false;
        value = wa_dd_div(sum[3], sum[2]);
    }
    if (!isfinite(value.hi))
        return false;
    *out = value.hi + 0.0;
    return true;
}

bool rs_value_of_bins(double *out, const rs_sample *s, const wa_dd *sums, const size_t *count)
{
    rs_means m;
    rs_means_take(&m, s, sums, count);
    return rs_means_value(out, &m);
}
