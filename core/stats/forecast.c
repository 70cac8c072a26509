#include "windassay/forecast.h"

#include "windassay/quantile.h"

#include <math.h>

enum { BLOCKS_LEAST = 2, DOF_MOST = 2000000 };

/* Counts are whole numbers far below 2^26: their sums and sums of squares are exact. */
static double size_of_spells(const double *count, size_t n)
{
    double sum = 0, squares = 0;
    for (size_t i = 0; i < n; i++) {
        sum += count[i];
        squares += count[i] * count[i];
    }
    if (sum <= 0)
        return 1;
    double variance = (squares - sum * sum / (double)n) / ((double)n - 1);
    double phi = variance / (sum / (double)n);
    return phi > 1 ? phi : 1;
}

static double wait(const wa_arrivals *a, double spells, double more, double p)
{
    double dof_more = fmin(2 * more, DOF_MOST), dof = fmin(2 * spells + 1, DOF_MOST);
    double t = a->elapsed * more / (spells + 0.5) * wa_f_quantile(p, dof_more, dof);
    double least = a->missing / a->most;
    return t > least ? t : least;
}

wa_status wa_forecast_wait(wa_forecast *out, const wa_arrivals *a, double probability,
                           wa_error *err)
{
    if (a->n < BLOCKS_LEAST)
        return wa_fail(err, WA_ERR_UNDEFINED, "fewer than %d whole days so far", BLOCKS_LEAST);
    if (!(a->total > 0))
        return wa_fail(err, WA_ERR_UNDEFINED, "none so far");
    double phi = size_of_spells(a->count, a->n);
    double spells = a->total / phi, more = a->missing / phi;
    if (more < 0.5)
        more = 0.5;
    *out = (wa_forecast){wait(a, spells, more, (1 - probability) / 2), wait(a, spells, more, 0.5),
                         wait(a, spells, more, (1 + probability) / 2)};
    return WA_OK;
}
