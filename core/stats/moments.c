#include "stats/moments.h"

#include "base/dd.h"

/* Sum of (x - mean x)(y - mean y): exact around the rounded means cx and cy, then the rest of
 * the means taken off: - (sum x - n cx)(sum y - n cy) / n. */
static wa_dd central(const wa_exact *xy, const wa_exact *x, const wa_exact *y, size_t n, double cx,
                     double cy)
{
    wa_exact around, rest_x = *x, rest_y = *y;
    wa_exact_central(&around, xy, x, y, n, cx, cy);
    wa_exact_add_product(&rest_x, -(double)n, cx);
    wa_exact_add_product(&rest_y, -(double)n, cy);
    wa_dd rest = wa_dd_mul(wa_exact_round_dd(&rest_x), wa_exact_round_dd(&rest_y));
    return wa_dd_sub(wa_exact_round_dd(&around), wa_dd_div(rest, wa_dd_of((double)n)));
}

void pair_moments_take(pair_moments *out, const double *x, const double *y, size_t n)
{
    wa_exact sx = {0}, sy = {0}, xx = {0}, xy = {0}, yy = {0};
    double low_x = (double)INFINITY, high_x = -low_x, low_y = low_x, high_y = -low_x;
    pair_moments m = {0};
    for (size_t i = 0; i < n; i++) {
        if (isnan(x[i]) || isnan(y[i])) {
            m.left_out++;
            continue;
        }
        m.n++;
        low_x = x[i] < low_x ? x[i] : low_x;
        high_x = x[i] > high_x ? x[i] : high_x;
        low_y = y[i] < low_y ? y[i] : low_y;
        high_y = y[i] > high_y ? y[i] : high_y;
        wa_exact_add(&sx, x[i]);
        wa_exact_add(&sy, y[i]);
        wa_exact_add_product(&xx, x[i], x[i]);
        wa_exact_add_product(&xy, x[i], y[i]);
        wa_exact_add_product(&yy, y[i], y[i]);
    }
    if (m.n > 0) {
        wa_dd count = wa_dd_of((double)m.n), zero = wa_dd_of(0);
        double cx = wa_exact_divide(&sx, m.n), cy = wa_exact_divide(&sy, m.n);
        bool same_x = low_x == high_x, same_y = low_y == high_y;
        m.mean_x = wa_dd_div(wa_exact_round_dd(&sx), count);
        m.mean_y = wa_dd_div(wa_exact_round_dd(&sy), count);
        m.sxx = same_x ? zero : central(&xx, &sx, &sx, m.n, cx, cx);
        m.sxy = same_x || same_y ? zero : central(&xy, &sx, &sy, m.n, cx, cy);
        m.syy = same_y ? zero : central(&yy, &sy, &sy, m.n, cy, cy);
    }
    *out = m;
}
