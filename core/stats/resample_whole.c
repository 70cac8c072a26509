#include "stats/resample_whole.h"

#include "base/dd.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

enum {
    BITS = 100,
    HALF = BITS / 2,
    PIECE = 16, /* records; of a day's block, 9 pieces in some 5 bins each */
    LEAST = -1000,
    MOST = 900 /* exponents: far from where doubles end                   */
};

/* ---- whether they fit --------------------------------------------------------------------- */

/* Widens low..high so that x is a multiple of 2^low and below 2^high. */
static void look_at(int *low, int *high, double x)
{
    int exponent;
    bool negative;
    uint64_t mantissa = wa_mantissa(x, &exponent, &negative);
    if (mantissa == 0)
        return;
    int lowest = exponent + __builtin_ctzll(mantissa);
    int highest = exponent + 64 - __builtin_clzll(mantissa);
    *low = lowest < *low ? lowest : *low;
    *high = highest > *high ? highest : *high;
}

bool rs_whole_fits(int *exponent, const rs_sample *s)
{
    int low = MOST, high = LEAST;
    for (size_t i = 0; i < s->n; i++) {
        if (s->bins->of_record[i] < 0)
            continue;
        look_at(&low, &high, s->x[i]);
        look_at(&low, &high, s->y[i]);
    }
    int records = 64 - __builtin_clzll((uint64_t)s->n); /* there are fewer than 2^records */
    if (s->n > UINT32_MAX || low < LEAST || high > MOST || high - low > BITS - records)
        return false;
    *exponent = low;
    return true;
}

/* ---- making -------------------------------------------------------------------------------- */

static wa_int128 whole(double x, int unit)
{
    int exponent;
    bool negative;
    uint64_t mantissa = wa_mantissa(x, &exponent, &negative);
    if (mantissa == 0)
        return 0;
    int shift = exponent - unit; /* what a shift to the right drops is 0 */
    wa_int128 v = shift < 0 ? (wa_int128)(mantissa >> -shift) : (wa_int128)mantissa << shift;
    return negative ? -v : v;
}

/* The part of bin `bin` among those of a piece, or where it would come. */
static size_t part_of(const rs_part *part, size_t n, int32_t bin)
{
    size_t k = 0;
    while (k < n && part[k].bin != (uint32_t)bin)
        k++;
    return k;
}

/* The parts of the records first..end; how many they are. */
static size_t take_apart(rs_part part[PIECE], const rs_whole *w, size_t first, size_t end)
{
    size_t n = 0;
    for (size_t i = first; i < end; i++) {
        int32_t bin = w->s->bins->of_record[i];
        if (bin < 0)
            continue;
        size_t k = part_of(part, n, bin);
        if (k == n)
            part[n++] = (rs_part){.bin = (uint32_t)bin};
        part[k].sum.x += w->record[i].x;
        part[k].sum.y += w->record[i].y;
        part[k].count++;
    }
    return n;
}

static void make_parts(rs_whole *w)
{
    size_t n = w->s->n, at = 0, k = 0;
    rs_part part[PIECE];
    for (size_t first = 0; first < n; first += PIECE) {
        size_t parts = take_apart(part, w, first, n - first < PIECE ? n : first + PIECE);
        if (w->part != NULL)
            memcpy(w->part + at, part, parts * sizeof *part);
        w->from[k++] = at;
        at += parts;
    }
    w->from[k] = at;
}

void rs_whole_release(rs_whole *w)
{
    free(w->record);
    free(w->part);
    free(w->from);
    *w = (rs_whole){0};
}

wa_status rs_whole_make(rs_whole *w, const rs_sample *s, int exponent, wa_error *err)
{
    size_t pieces = s->n / PIECE + 1;
    *w = (rs_whole){.s = s,
                    .unit = ldexp(1, exponent),
                    .record = calloc(s->n, sizeof *w->record),
                    .from = calloc(pieces + 1, sizeof *w->from)};
    if (!w->record || !w->from)
        return wa_no_memory(err);
    for (size_t i = 0; i < s->n; i++)
        if (s->bins->of_record[i] >= 0)
            w->record[i] = (rs_pair){whole(s->x[i], exponent), whole(s->y[i], exponent)};
    make_parts(w); /* how many there are */
    w->part = calloc(w->from[(s->n + PIECE - 1) / PIECE] + 1, sizeof *w->part);
    if (w->part == NULL)
        return wa_no_memory(err);
    make_parts(w);
    return WA_OK;
}

/* ---- adding -------------------------------------------------------------------------------- */

static void add(rs_tally *to, const rs_pair *more, size_t count)
{
    to->sum.x += more->x;
    to->sum.y += more->y;
    to->count += count;
}

static void add_records(rs_tally *bins, const rs_whole *w, size_t first, size_t end)
{
    const int32_t *bin = w->s->bins->of_record;
    for (size_t i = first; i < end; i++)
        if (bin[i] >= 0)
            add(&bins[bin[i]], &w->record[i], 1);
}

void rs_whole_add(rs_tally *bins, const rs_whole *w, size_t start, size_t n)
{
    size_t end = start + n, first = (start + PIECE - 1) / PIECE, last = end / PIECE;
    if (first >= last) { /* no piece lies in them as a whole */
        add_records(bins, w, start, end);
        return;
    }
    add_records(bins, w, start, first * PIECE);
    for (const rs_part *p = w->part + w->from[first]; p < w->part + w->from[last]; p++)
        add(&bins[p->bin], &p->sum, p->count);
    add_records(bins, w, last * PIECE, end);
}

/* Both halves are doubles without rounding, and so is their sum as a double-double. */
static wa_dd dd_of(wa_int128 v, double unit)
{
    double high = (double)(int64_t)(v >> HALF),
           low = (double)(int64_t)(v & (((int64_t)1 << HALF) - 1));
    wa_dd sum = wa_two_sum(high * 0x1p50, low);
    return (wa_dd){sum.hi * unit, sum.lo * unit};
}

void rs_whole_sums(wa_dd *sums, size_t *count, const rs_whole *w, const rs_tally *bins)
{
    _Static_assert(HALF == 50, "dd_of scales by 2^50");
    for (size_t g = 0; g < w->s->groups; g++) {
        sums[2 * g] = dd_of(bins[g].sum.x, w->unit);
        sums[2 * g + 1] = dd_of(bins[g].sum.y, w->unit);
        count[g] = bins[g].count;
    }
}
