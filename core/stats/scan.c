/* The residual scan of a line of sight: one least-squares fit holds every candidate direction. */
#include "windassay/scan.h"

#include "base/dd.h"
#include "stats/ls.h"
#include "windassay/portable.h"

#include <stdlib.h>

static const char *const NAMES[] = {"projected cosine of the direction",
                                    "projected sine of the direction"};

/* The direction of (A, B) and, by propagation, its standard uncertainty: the same as where RSS
 * rises by s^2 on its osculating parabola. */
static void take_direction(wa_scan *out, const ls_fit *f)
{
    static const wa_dd RADIAN = {0x1.ca5dc1a63c1f8p+5, -0x1.1e7ab456405f9p-49}; /* 180 / pi */
    wa_dd a = f->slope[0], b = f->slope[1];
    wa_dd aa = wa_dd_mul(a, a), bb = wa_dd_mul(b, b), ab = wa_dd_mul(a, b);
    wa_dd square = wa_dd_add(aa, bb);
    wa_dd cross = wa_dd_mul_d(wa_dd_mul(ab, f->inverse[0][1]), 2);
    wa_dd across = wa_dd_add(wa_dd_mul(bb, f->inverse[0][0]), wa_dd_mul(aa, f->inverse[1][1]));
    across = wa_dd_div(wa_dd_div(wa_dd_sub(across, cross), square), square);
    across = wa_dd_mul(across, wa_dd_div(f->rss, wa_dd_of((double)out->dof)));
    double direction = wa_atan2_deg(b.hi, a.hi);
    out->direction = direction < 0 ? direction + 360 : direction;
    out->direction_u = wa_dd_mul(RADIAN, wa_dd_sqrt(across)).hi;
    out->gain = wa_dd_sqrt(square).hi;
}

wa_status wa_scan_make(wa_scan *out, const double *direction, const double *x, const double *y,
                       size_t n, bool offset, wa_error *err)
{
    ls_fit f;
    double *p = malloc((2 * n + 1) * sizeof *p), *q = p + n;
    if (p == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for a scan");
    for (size_t i = 0; i < n; i++) {
        double sine, cosine;
        wa_sincos_deg(direction[i], &sine, &cosine);
        p[i] = x[i] * cosine;
        q[i] = x[i] * sine;
    }
    const double *columns[] = {p, q};
    ls_data d = {.n = n, .columns = 2, .x = columns, .y = y, .names = NAMES, .intercept = offset};
    wa_status s = ls_solve(&f, &d, err);
    free(p);
    if (s != WA_OK)
        return s;
    if (f.slope[0].hi == 0 && f.slope[1].hi == 0)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a scan has no smallest residual: y does not hang on the direction");
    wa_scan made = {.n = f.n,
                    .left_out = f.left_out,
                    .dof = f.n - f.terms,
                    .offset = offset ? f.intercept.hi : (double)NAN,
                    .rss = f.rss.hi,
                    .a = f.slope[0],
                    .b = f.slope[1],
                    .least = f.rss,
                    .mean_p = f.mean[0],
                    .mean_q = f.mean[1],
                    .mean_y = f.mean_y,
                    .has_offset = offset};
    for (int j = 0; j < 2; j++)
        for (int k = 0; k < 2; k++)
            made.inverse[j][k] = f.inverse[j][k];
    take_direction(&made, &f);
    *out = made;
    return WA_OK;
}

wa_status wa_scan_at(double *rss, double *gain, double *offset, const wa_scan *scan, double psi,
                     wa_error *err)
{
    double s, c;
    wa_sincos_deg(psi, &s, &c);
    wa_dd ac = wa_dd_mul_d(scan->a, c), as = wa_dd_mul_d(scan->a, s);
    wa_dd bc = wa_dd_mul_d(scan->b, c), bs = wa_dd_mul_d(scan->b, s);
    wa_dd qaa = scan->inverse[0][0], qbb = scan->inverse[1][1], qab = scan->inverse[0][1];
    wa_dd below = wa_dd_mul_d(wa_dd_mul_d(qab, s), -2 * c);
    below = wa_dd_add(below, wa_dd_mul(qaa, wa_two_product(s, s)));
    below = wa_dd_add(below, wa_dd_mul(qbb, wa_two_product(c, c)));
    wa_dd aside = wa_dd_sub(as, bc);
    wa_dd at = wa_dd_add(scan->least, wa_dd_div(wa_dd_mul(aside, aside), below));
    wa_dd along = wa_dd_add(wa_dd_mul(qbb, ac), wa_dd_mul(qaa, bs));
    along = wa_dd_div(wa_dd_sub(along, wa_dd_mul(qab, wa_dd_add(as, bc))), below);
    if (!isfinite(at.hi) || !isfinite(along.hi))
        return wa_fail(err, WA_ERR_UNDEFINED, "the scan at %g degrees is not defined", psi);
    wa_dd mean = wa_dd_add(wa_dd_mul_d(scan->mean_p, c), wa_dd_mul_d(scan->mean_q, s));
    if (rss != NULL)
        *rss = at.hi;
    if (gain != NULL)
        *gain = along.hi;
    if (offset != NULL)
        *offset =
            scan->has_offset ? wa_dd_sub(scan->mean_y, wa_dd_mul(along, mean)).hi : (double)NAN;
    return WA_OK;
}
