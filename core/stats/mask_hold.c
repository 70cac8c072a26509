/* Masks whose rows hang on the rows before them. */
#include "windassay/mask.h"

#include "stats/kernel.h"
#include "stats/steps.h"

static bool gap_before(const double *time, double step, size_t i)
{
    return time != NULL && time[i] - time[i - 1] != step;
}

wa_status wa_mask_held(wa_mask *out, const wa_mask *a, int64_t n, wa_error *err)
{
    if (n < 1)
        return wa_fail(err, WA_ERR_ARG, "held: at least 1 row, not %lld", (long long)n);
    double step = a->time != NULL ? wa_smallest_step(a->time, a->n) : 0;
    /* Rows in succession, this one the last, that are not false, and that are true. */
    uint64_t possible = 0, certain = 0, needed = (uint64_t)n;
    for (size_t i = 0; i < a->n; i++) {
        if (i > 0 && gap_before(a->time, step, i))
            possible = certain = 0;
        possible = a->at[i] != WA_FALSE ? possible + 1 : 0;
        certain = a->at[i] == WA_TRUE ? certain + 1 : 0;
        if (certain >= needed)
            out->at[i] = WA_TRUE;
        else
            out->at[i] = possible >= needed ? WA_UNKNOWN : WA_FALSE;
    }
    out->n = a->n;
    out->sides = a->sides;
    out->time = a->time;
    return WA_OK;
}

wa_status wa_mask_latch(wa_mask *out, const wa_mask *on, const wa_mask *off, wa_error *err)
{
    wa_status s = wa_masks_aligned(on, off, "latch", err);
    if (s != WA_OK)
        return s;
    out->n = on->n;
    out->sides = on->sides | off->sides;
    out->time = on->time != NULL ? on->time : off->time;
    double step = out->time != NULL ? wa_smallest_step(out->time, out->n) : 0;
    uint8_t state = WA_FALSE;
    for (size_t i = 0; i < out->n; i++) {
        uint8_t stays;
        if (i > 0 && gap_before(out->time, step, i) && state == WA_TRUE)
            state = WA_UNKNOWN;
        wa_kernel_not(&stays, &off->at[i], 1);
        wa_kernel_and(&stays, &stays, &state, 1);
        wa_kernel_or(&state, &on->at[i], &stays, 1);
        out->at[i] = state;
    }
    return WA_OK;
}
