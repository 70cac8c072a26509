/* formula.h - what `prepare` describes: formulas over the samples of one interval.
 *
 * `prepare` in a campaign file runs once, on placeholders, before data are read. What it did
 * arrives as a plain value (a stranger's) and is checked here, evaluated for each interval on
 * all cores, and printed into the record.
 *
 *   { nodes = { {op="channel", name="los_speed"}, {op="number", value=2, unit="degC"},
 *               {op="sub", a=1, b=2}, ... },
 *     adds  = { {name=, node=, quantity=, unit=}, ... },
 *     drops = { {reason=, mask=, channels={...}}, ... } }
 *
 * Nodes count from 1 and use earlier nodes only. An op is one of (v a value of each sample, m a
 * mask, k a number node; units as in column.h and mask.h):
 *   channel name | number value [unit] | add sub mul div pow (a, b) | atan2 difference (a, b)
 *   neg abs sqrt exp log sin cos tan asin acos (a) | to (a, unit) | lag (a, n)
 *   where (a, b=m)            the value where the mask is true, else missing
 *   mean sd min max median count circular_mean (a) | quantile (a, p)
 *                             one value of the interval's samples, for every sample; missing
 *                             where it is not defined
 *   below above equals (a, b) | between (a, b, c) | in_sector (a, from, to) | missing (a)
 *   unchanged (a, n) | has (a, name) bits | is (a, name) words | and or (a, b) | not (a)
 *   grow (a, n)
 *
 * All formulas see the samples as they were read (unit and calibration applied); what is dropped
 * or added is applied after. A bits channel's value is its integer; a words channel's value is
 * the index (from 0) of its word among the channel's flags.
 */
#ifndef WINDASSAY_FORMULA_H
#define WINDASSAY_FORMULA_H

#include "windassay/error.h"
#include "windassay/unit.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef enum wa_formula_kind {
    WA_FORMULA_NUMBER,
    WA_FORMULA_DIRECTION, /* a number whose mean is circular */
    WA_FORMULA_BITS,
    WA_FORMULA_WORDS
} wa_formula_kind;

/** One named bit (0 to 31), or one word; several words may have the same name. */
typedef struct wa_formula_flag {
    const char *name;
    uint32_t bit; /* not used for words */
} wa_formula_flag;

/** A channel that formulas may use. `unit` is the one that samples have inside. */
typedef struct wa_formula_channel {
    const char *name;
    wa_formula_kind kind;
    wa_unit unit;
    const wa_formula_flag *flags;
    size_t n_flags;
} wa_formula_channel;

typedef struct wa_formula wa_formula;

enum { WA_FORMULA_NODES_MOST = 1000, WA_FORMULA_RESULTS_MOST = 100 };

/** Copies the channels and checks the description. WA_ERR_DATA says what is wrong. */
wa_status wa_formula_decode(wa_formula **out, const wa_value *described,
                            const wa_formula_channel *channels, size_t n_channels, wa_error *err);
void wa_formula_free(wa_formula *f);

/* The same step by step, as a description grows: an empty formula, then one entry of `nodes`,
 * `adds` or `drops` at a time. WA_ERR_ARG says what is wrong with it; then nothing is added. */
wa_status wa_formula_new(wa_formula **out, const wa_formula_channel *channels, size_t n_channels,
                         wa_error *err);
wa_status wa_formula_take_node(wa_formula *f, const wa_value *node, wa_error *err);
wa_status wa_formula_take_add(wa_formula *f, const wa_value *add, wa_error *err);
wa_status wa_formula_take_drop(wa_formula *f, const wa_value *drop, wa_error *err);

/** A channel that a formula adds. Its unit is that of `add`'s unit or of the formula, brought to
 *  the unit used inside (wa_unit_inside), except that pure numbers stay as they are. */
typedef struct wa_formula_added {
    const char *name, *quantity; /* the name where no quantity is stated */
    wa_formula_kind kind;        /* WA_FORMULA_DIRECTION for a quantity "..._direction" in
                                    degrees, else WA_FORMULA_NUMBER */
    wa_unit unit;
} wa_formula_added;

/** A drop: the samples of `channels` where its mask is true. Indices below the number of given
 *  channels mean those, the following ones the added channels in order. */
typedef struct wa_formula_dropped {
    const char *reason;
    const size_t *channels;
    size_t n_channels;
} wa_formula_dropped;

/* Borrowed from the formula. */
size_t wa_formula_adds(const wa_formula *f);
wa_formula_added wa_formula_add_at(const wa_formula *f, size_t i);
size_t wa_formula_drops(const wa_formula *f);
wa_formula_dropped wa_formula_drop_at(const wa_formula *f, size_t i);
/** True where some formula reads the channel, so that its samples are needed. */
bool wa_formula_reads(const wa_formula *f, size_t channel);

/** Working memory of one thread, kept between calls: `wa_formula_scratch s = {0};` */
typedef struct wa_formula_scratch {
    void *at;
    size_t room; /* bytes */
    bool narrow; /* without AVX2, even where the processor has it; the results are the same */
} wa_formula_scratch;
void wa_formula_scratch_release(wa_formula_scratch *s);

/**
 * Evaluates all formulas over the n samples of one interval. channel[i] holds the n samples of
 * channel i in its unit (NaN: missing); it may be NULL where wa_formula_reads says no. added[i]
 * receives n values (NaN: missing). drop[i] receives n bytes: WA_TRUE - dropped for the reason;
 * WA_UNKNOWN - the mask hangs on a missing value: dropped too, and counted as "REASON: cannot be
 * judged"; WA_FALSE - kept. Fails only when memory runs out.
 */
wa_status wa_formula_evaluate(const wa_formula *f, const double *const *channel, size_t n,
                              double *const *added, uint8_t *const *drop,
                              wa_formula_scratch *scratch, wa_error *err);

/** The formulas as lines for people, a list of strings:
 *    drop "window wet" from los_speed where status has "window wet"
 *    add level [degree] = pitch - median(pitch)
 *  A value that is used more than once gets a line of its own ("v1 = ..."). NULL: no memory. */
wa_value *wa_formula_lines(const wa_formula *f);

#ifdef __cplusplus
}
#endif
#endif
