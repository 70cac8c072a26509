/* random.h - random numbers that are the same on every machine and in ten years.
 *
 * The raw 32-bit words of MT19937 (Matsumoto and Nishimura, ACM Trans. Model. Comput. Simul. 8, 3,
 * 1998; seeding of 2002), as GSL's gsl_rng_mt19937 gives them. What is made of the words is our
 * own and uses no libm: whoever draws in the same order from the same seed gets the same results.
 */
#ifndef WINDASSAY_RANDOM_H
#define WINDASSAY_RANDOM_H

#include "windassay/error.h"

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Name of the generator, for records. */
#define WA_RANDOM_GENERATOR "MT19937"

typedef struct wa_random wa_random;

/** Starts the generator at a seed from 1 to 2^32 - 1 (0 is WA_ERR_ARG: the library would take
 *  another number for it). The caller owns *out: wa_random_free. */
wa_status wa_random_new(wa_random **out, uint32_t seed, wa_error *err);
void wa_random_free(wa_random *r);

/** The next word, 32 random bits. */
uint32_t wa_random_bits(wa_random *r);

/** A whole number from 0 to n - 1, each equally likely: words that would favour some are thrown
 *  away. Takes one word where n is at most 2^32, else two (high word first). n is at least 1. */
uint64_t wa_random_below(wa_random *r, uint64_t n);

/** A number between 0 and 1, never one of them: (k + 1/2) 2^-52 with k from two words (26 bits of
 *  each, high part first). */
double wa_random_uniform(wa_random *r);

#ifdef __cplusplus
}
#endif
#endif
