/* The one file that knows GSL. */
#include "windassay/random.h"

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stdlib.h>

struct wa_random {
    gsl_rng generator;
};

wa_status wa_random_new(wa_random **out, uint32_t seed, wa_error *err)
{
    if (seed == 0)
        return wa_fail(err, WA_ERR_ARG, "a seed is a whole number from 1 to 4294967295, not 0");
    /* by hand: gsl_rng_alloc ends the process when memory runs out */
    wa_random *r = malloc(sizeof *r);
    void *state = malloc(gsl_rng_mt19937->size);
    if (r == NULL || state == NULL) {
        free(r);
        free(state);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory for random numbers");
    }
    r->generator = (gsl_rng){gsl_rng_mt19937, state};
    gsl_rng_set(&r->generator, seed);
    *out = r;
    return WA_OK;
}

void wa_random_free(wa_random *r)
{
    if (r == NULL)
        return;
    free(r->generator.state);
    free(r);
}

uint32_t wa_random_bits(wa_random *r)
{
    return (uint32_t)gsl_rng_get(&r->generator);
}

uint64_t wa_random_below(wa_random *r, uint64_t n)
{
    const bool wide = n > (uint64_t)1 << 32;
    /* words from `over` on would make the first numbers likelier; 0: there are none */
    const uint64_t over = wide ? UINT64_MAX - (UINT64_MAX % n + 1) % n
                               : ((uint64_t)1 << 32) - ((uint64_t)1 << 32) % n;
    for (;;) {
        uint64_t word = wa_random_bits(r);
        if (wide)
            word = word << 32 | wa_random_bits(r);
        if (wide ? word <= over : word < over)
            return word % n;
    }
}

double wa_random_uniform(wa_random *r)
{
    uint64_t high = wa_random_bits(r) >> 6, low = wa_random_bits(r) >> 6;
    return ((double)(high << 26 | low) + 0.5) * 0x1p-52;
}
