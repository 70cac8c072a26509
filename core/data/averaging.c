#include "data/averaging.h"

#include "base/scaled.h"
#include "data/integers.h"
#include "windassay/portable.h"

#include <math.h>
#include <stdlib.h>

#define LARGEST_SCALED ((int64_t)1 << 31)

static const int64_t ten_to[] = {1,      10,      100,      1000,      10000,
                                 100000, 1000000, 10000000, 100000000, 1000000000};

static const wa_statistics none = {.mean = (double)NAN,
                                   .sd = (double)NAN,
                                   .min = (double)NAN,
                                   .max = (double)NAN,
                                   .resultant = (double)NAN};

static bool is_out(const wa_samples *s, size_t i)
{
    return s->tag[i] == WA_TAG_MISSING || (s->out != NULL && s->out[i] != 0);
}

/* The scale that holds all samples; -1 where one of them is a double. */
static int common_scale(const wa_samples *s)
{
    int scale = 0;
    for (size_t i = 0; i < s->n; i++) {
        if (is_out(s, i))
            continue;
        if (s->tag[i] == WA_TAG_DOUBLE)
            return -1;
        if (s->tag[i] > scale)
            scale = s->tag[i];
    }
    return scale;
}

/* False where a sample does not fit below 2^31 at this scale. */
static bool sum_integers(wa_integer_sums *to, const wa_samples *s, int scale)
{
    wa_integer_sums t = {.least = INT64_MAX, .greatest = INT64_MIN};
    for (size_t i = 0; i < s->n; i++) {
        if (is_out(s, i))
            continue;
        int64_t x = s->is[i].digits;
        int up = scale - s->tag[i];
        if (up > 0) {
            if (x != 0 && (up > 9 || x >= LARGEST_SCALED || x <= -LARGEST_SCALED))
                return false;
            x *= x == 0 ? 0 : ten_to[up];
        }
        if (x >= LARGEST_SCALED || x <= -LARGEST_SCALED)
            return false;
        t.n++;
        t.sum += x;
        t.squares += (wa_uint128)(uint64_t)(x * x);
        t.least = x < t.least ? x : t.least;
        t.greatest = x > t.greatest ? x : t.greatest;
    }
    *to = t;
    return true;
}

static wa_status sd_or_nan(wa_status status, double *sd)
{
    if (status != WA_ERR_UNDEFINED)
        return status;
    *sd = (double)NAN;
    return WA_OK;
}

wa_status wa_average_scalar(wa_statistics *to, const wa_samples *s, wa_divisor divisor,
                            double *room, wa_error *err)
{
    wa_integer_sums t;
    const uint8_t *mark = s->out != NULL ? s->out : s->tag;
    int scale = s->scale;
    bool summed =
        s->known && wa_integers_sum(&t, s->is, mark, s->out != NULL ? 0 : s->scale, s->n, s->level);
    if (!summed)
        scale = common_scale(s);
    if (!summed && (scale < 0 || !sum_integers(&t, s, scale))) {
        size_t n = 0;
        for (size_t i = 0; i < s->n; i++)
            if (!is_out(s, i))
                room[n++] = wa_sample_number(s->is[i], s->tag[i]);
        return wa_average_numbers(to, room, NULL, n, divisor, room, err);
    }
    wa_statistics r = none;
    r.count = (size_t)t.n;
    if (t.n > 0) {
        r.mean = wa_scaled_mean(t.n, t.sum, scale);
        r.min = wa_sample_number((wa_datum){.digits = t.least}, (uint8_t)scale);
        r.max = wa_sample_number((wa_datum){.digits = t.greatest}, (uint8_t)scale);
        wa_error undefined;
        wa_status status = sd_or_nan(
            wa_scaled_sd(&r.sd, t.n, t.sum, t.squares, scale, divisor, &undefined), &r.sd);
        if (status != WA_OK)
            return wa_fail(err, status, "%s", undefined.text);
    }
    *to = r;
    return WA_OK;
}

wa_status wa_average_numbers(wa_statistics *to, const double *x, const uint8_t *out, size_t n,
                             wa_divisor divisor, double *room, wa_error *err)
{
    wa_statistics r = none;
    double low = (double)INFINITY, high = -low;
    size_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (out != NULL && out[i] != 0)
            continue;
        double v = x[i];
        if (isnan(v))
            continue;
        room[count++] = v; /* room may be x: it never overtakes */
        low = v < low ? v : low;
        high = v > high ? v : high;
    }
    r.count = count;
    if (count > 0) {
        r.min = low;
        r.max = high;
        bool spread = r.count > 1 || divisor == WA_DIVISOR_N;
        wa_status status = wa_mean_sd(&r.mean, spread ? &r.sd : NULL, room, r.count, divisor, err);
        if (status != WA_OK)
            return status;
    }
    *to = r;
    return WA_OK;
}

void wa_average_affine(wa_statistics *s, double slope, double offset)
{
    double low = fma(s->min, slope, offset), high = fma(s->max, slope, offset);
    s->mean = fma(s->mean, slope, offset);
    s->sd *= fabs(slope);
    s->min = slope < 0 ? high : low;
    s->max = slope < 0 ? low : high;
}

/* ---- directions ---- */

struct wa_angle {
    int64_t sine, cosine; /* times 2^62; both 0: not computed yet (no direction has that) */
};

enum { TABLE_SCALE_MAX = 2 };

void wa_angle_table_release(wa_angle_table *t)
{
    free(t->at);
    *t = (wa_angle_table){0};
}

/* True where the table is for samples of that kind now. */
static bool serve(wa_angle_table *t, uint8_t tag, double slope, double offset)
{
    if (tag > TABLE_SCALE_MAX || slope != 1)
        return false;
    if (t->at != NULL && t->scale == tag && t->offset == offset)
        return true;
    size_t n = (size_t)(360 * ten_to[tag]) + 1;
    struct wa_angle *at = calloc(n, sizeof *at);
    if (at == NULL)
        return false; /* only a cache: the sample is computed instead */
    free(t->at);
    *t = (wa_angle_table){at, n, tag, slope, offset};
    return true;
}

/* The table's place for a sample; NULL where it has none: a double, a fine scale, another rule. */
static struct wa_angle *looked_up(wa_angle_table *t, wa_datum is, uint8_t tag, double slope,
                                  double offset)
{
    if (!serve(t, tag, slope, offset))
        return NULL;
    return is.digits >= 0 && (uint64_t)is.digits < t->n ? &t->at[is.digits] : NULL;
}

/* The sum of up to 2^31 numbers whose high halves add up to `high`, from its lowest 64 bits. */
static wa_int128 whole_sum(uint64_t lowest, int64_t high)
{
    uint64_t rest = lowest - ((uint64_t)high << 32); /* the low halves, none below 0 */
    return (wa_int128)high * ((int64_t)1 << 32) + (wa_int128)rest;
}

/* Samples from i on that are all in the table, as far as they are, are added; returns where they end.
 * A sum is kept as what it is in 64 bits, which runs over, and the sum of its high halves: the two
 * are less than n * 2^32 apart, so that they say what it is. */
static size_t sum_angles(wa_int128 *sine, wa_int128 *cosine, uint64_t *count, const wa_samples *s,
                         size_t i, const wa_angle_table *t)
{
    const uint8_t *mark = s->out != NULL ? s->out : s->tag, usual = s->out != NULL ? 0 : s->scale;
    const struct wa_angle *table = t->at;
    const wa_datum *is = s->is;
    const size_t n = s->n, from = i;
    uint64_t sines = 0, cosines = 0, gone = 0, most = t->n;
    int64_t high_sines = 0, high_cosines = 0;
    for (; i < n; i++) {
        if (mark[i] != usual) {
            gone++;
            continue;
        }
        uint64_t at = (uint64_t)is[i].digits;
        if (at >= most)
            break;
        int64_t a = table[at].sine, b = table[at].cosine;
        if ((a | b) == 0)
            break;
        sines += (uint64_t)a;
        high_sines += a >> 32;
        cosines += (uint64_t)b;
        high_cosines += b >> 32;
    }
    *sine += whole_sum(sines, high_sines);
    *cosine += whole_sum(cosines, high_cosines);
    *count += i - from - gone;
    return i;
}

static wa_status end_direction(wa_statistics *to, uint64_t n, wa_int128 sine, wa_int128 cosine,
                               wa_error *err)
{
    wa_statistics r = none;
    wa_error undefined;
    r.count = (size_t)n;
    wa_status status = wa_direction_from_fixed(sine, cosine, n, &r.mean, &r.resultant, &undefined);
    if (status == WA_OK) {
        double degree = 57.295779513082320876798; /* 180 / pi, ISO 80000-3 */
        r.sd = r.resultant < 1 ? sqrt(-2 * wa_log(r.resultant)) * degree : 0;
    } else if (status != WA_ERR_UNDEFINED) {
        return wa_fail(err, status, "%s", undefined.text);
    }
    *to = r;
    return WA_OK;
}

wa_status wa_average_direction(wa_statistics *to, const wa_samples *s, double slope, double offset,
                               wa_angle_table *table, wa_error *err)
{
    wa_int128 sine = 0, cosine = 0;
    uint64_t n = 0;
    bool one_scale = s->known && serve(table, s->scale, slope, offset);
    for (size_t i = 0; i < s->n; i++) {
        if (one_scale && (i = sum_angles(&sine, &cosine, &n, s, i, table)) == s->n)
            break;
        if (is_out(s, i))
            continue;
        struct wa_angle here = {0, 0};
        struct wa_angle *kept = looked_up(table, s->is[i], s->tag[i], slope, offset);
        if (kept != NULL)
            here = *kept;
        if (here.sine == 0 && here.cosine == 0) {
            double d = fma(wa_sample_number(s->is[i], s->tag[i]), slope, offset);
            wa_sincos_fixed(d, &here.sine, &here.cosine);
            if (kept != NULL)
                *kept = here;
        }
        sine += here.sine;
        cosine += here.cosine;
        n++;
    }
    return end_direction(to, n, sine, cosine, err);
}

wa_status wa_average_degrees(wa_statistics *to, const double *x, const uint8_t *out, size_t n,
                             wa_error *err)
{
    wa_int128 sine = 0, cosine = 0;
    uint64_t count = 0;
    for (size_t i = 0; i < n; i++) {
        if (isnan(x[i]) || (out != NULL && out[i] != 0))
            continue;
        int64_t a, b;
        wa_sincos_fixed(x[i], &a, &b);
        sine += a;
        cosine += b;
        count++;
    }
    return end_direction(to, count, sine, cosine, err);
}

/* ---- bits and words ---- */

static double share(const wa_samples *s, int64_t mask, int64_t value)
{
    size_t n = 0, met = 0;
    for (size_t i = 0; i < s->n; i++) {
        if (is_out(s, i))
            continue;
        n++;
        met += (s->is[i].digits & mask) == value;
    }
    return n == 0 ? (double)NAN : (double)met / (double)n;
}

double wa_share_of_bit(const wa_samples *s, uint32_t bit)
{
    return share(s, (int64_t)1 << bit, (int64_t)1 << bit);
}

double wa_share_of_word(const wa_samples *s, int64_t word)
{
    return share(s, INT64_MAX, word);
}
