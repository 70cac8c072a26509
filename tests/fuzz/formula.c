/* Formulas of `prepare`: what decodes is evaluated over intervals of several lengths with missing
 * samples, with AVX2 and without to the same bytes, and reads as lines. */
#include "fuzz.h"

#include "windassay/formula.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { CHANNELS = 5, SAMPLES = 7, LONGEST = 5 * SAMPLES };

static const wa_formula_flag bits[] = {{"window wet", 0}, {"warming up", 3}};
static const wa_formula_flag words[] = {{"ok", 0}, {"ok", 0}, {"fault", 0}};
static const double data_of[CHANNELS][SAMPLES] = {
    {4, 6, (double)NAN, 8, 2, -1e300, 0},
    {1, 3, -2, (double)NAN, 5, 1e-300, 7},
    {350, 10, 0, 350, 10, 359.99, (double)NAN},
    {0, 1, 8, 9, (double)NAN, 4294967295.0, 2},
    {0, 1, 2, (double)NAN, 2, 0, 1},
};

static void channels(wa_formula_channel c[CHANNELS])
{
    static const char *const names[] = {"los_speed", "t", "dir", "status", "state"};
    static const char *const units[] = {"m/s", "degC", "degree", "1", "1"};
    static const wa_formula_kind kinds[] = {WA_FORMULA_NUMBER, WA_FORMULA_NUMBER,
                                            WA_FORMULA_DIRECTION, WA_FORMULA_BITS,
                                            WA_FORMULA_WORDS};
    for (size_t i = 0; i < CHANNELS; i++) {
        c[i] = (wa_formula_channel){.name = names[i], .kind = kinds[i]};
        FUZZ_HOLDS(wa_unit_parse(&c[i].unit, units[i], NULL) == WA_OK);
    }
    c[3].flags = bits;
    c[3].n_flags = 2;
    c[4].flags = words;
    c[4].n_flags = 3;
}

/* All results of one evaluation, in one block. */
static uint8_t *evaluate(const wa_formula *f, size_t n, wa_formula_scratch *scratch, size_t *bytes)
{
    size_t adds = wa_formula_adds(f), drops = wa_formula_drops(f);
    double *added[WA_FORMULA_RESULTS_MOST];
    uint8_t *drop[WA_FORMULA_RESULTS_MOST];
    const double *channel[CHANNELS];
    double repeated[CHANNELS][LONGEST];
    FUZZ_HOLDS(adds <= WA_FORMULA_RESULTS_MOST && drops <= WA_FORMULA_RESULTS_MOST);
    *bytes = adds * n * sizeof(double) + drops * n;
    uint8_t *block = calloc(*bytes + 1, 1);
    FUZZ_HOLDS(block != NULL);
    for (size_t i = 0; i < adds; i++)
        added[i] = (double *)(void *)block + i * n;
    for (size_t i = 0; i < drops; i++)
        drop[i] = block + adds * n * sizeof(double) + i * n;
    for (size_t i = 0; i < CHANNELS; i++) {
        for (size_t k = 0; k < n; k++)
            repeated[i][k] = data_of[i][k % SAMPLES];
        channel[i] = wa_formula_reads(f, i) ? repeated[i] : NULL;
    }
    FUZZ_HOLDS(wa_formula_evaluate(f, channel, n, added, drop, scratch, NULL) == WA_OK);
    for (size_t i = 0; i < adds; i++)
        for (size_t k = 0; k < n; k++)
            FUZZ_HOLDS(!isinf(added[i][k])); /* missing, never infinite */
    for (size_t i = 0; i < drops; i++)
        for (size_t k = 0; k < n; k++)
            FUZZ_HOLDS(drop[i][k] <= 2);
    return block;
}

static void use(const wa_formula *f)
{
    static const size_t lengths[] = {0, 1, 4, SAMPLES, LONGEST};
    wa_formula_scratch scratch = {0};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        size_t a, b;
        scratch.narrow = false;
        uint8_t *first = evaluate(f, lengths[i], &scratch, &a);
        scratch.narrow = true;
        uint8_t *second = evaluate(f, lengths[i], &scratch, &b);
        FUZZ_HOLDS(a == b && memcmp(first, second, a) == 0);
        free(first);
        free(second);
    }
    wa_formula_scratch_release(&scratch);
    for (size_t i = 0; i < wa_formula_drops(f); i++) {
        wa_formula_dropped d = wa_formula_drop_at(f, i);
        for (size_t k = 0; k < d.n_channels; k++)
            FUZZ_HOLDS(d.channels[k] < CHANNELS + wa_formula_adds(f));
    }
    wa_value *lines = wa_formula_lines(f);
    FUZZ_HOLDS(lines != NULL);
    wa_value_free(lines);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_value *v = fuzz_value(data, size);
    if (v == NULL)
        return 0;
    wa_formula_channel c[CHANNELS];
    wa_formula *f = NULL;
    wa_error err = {0};
    channels(c);
    wa_status s = wa_formula_decode(&f, v, c, CHANNELS, &err);
    wa_value_free(v);
    if (s == WA_OK)
        use(f);
    else
        fuzz_error_is_clean(s, &err);
    wa_formula_free(f);
    return 0;
}
