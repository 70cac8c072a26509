/* number.h - numbers as text and text as numbers, exactly, and never through the locale. */
#ifndef WINDASSAY_NUMBER_H
#define WINDASSAY_NUMBER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

enum {
    WA_NUMBER_SIZE = 32,        /* room for wa_number_print, NUL included                     */
    WA_NUMBER_FIXED_SIZE = 340, /* room for wa_number_fixed with any number and 22 decimals */
    WA_DECIMALS_MAX = 22
};

/** Writes the shortest decimal that reads back as x (of several, the nearest to x), NUL-terminated;
 *  returns its length. Plain for 1e-5 <= |x| < 1e17 ("0.1", "600", "0.00001"), otherwise with an
 *  exponent ("1e-6", "1.5e+300"); valid JSON. Minus zero is "0". x must be finite: a number that
 *  is not defined is not printed as one.
 *  Method: Schubfach (R. Giulietti, "The Schubfach way to render doubles", 2020). */
size_t wa_number_print(char to[WA_NUMBER_SIZE], double x);

/** Writes x with exactly `decimals` decimals (0 to WA_DECIMALS_MAX), rounded once from its exact
 *  binary value, exact halves to even; "-0.00" is "0.00". `to` has WA_NUMBER_FIXED_SIZE bytes
 *  (48 do for |x| < 1e17). Returns the length. x must be finite. */
size_t wa_number_fixed(char *to, double x, int decimals);

typedef enum wa_parse {
    WA_PARSE_OK = 0,
    WA_PARSE_NOT_A_NUMBER, /* the text is not a decimal number from its first to its last byte */
    WA_PARSE_OUT_OF_RANGE  /* a number, but beyond the largest double                          */
} wa_parse;

/** Reads the n bytes of `text`, all of them, as  [+-] digits [. [digits]] [e [+-] digits]  or
 *  [+-] . digits [e...], to the nearest double (ties to even), however many digits there are. No
 *  blanks, hexadecimal, "nan", "inf" or group marks. What is below the smallest double becomes 0;
 *  minus zero becomes 0. `out` is untouched unless the answer is WA_PARSE_OK. */
wa_parse wa_number_parse(double *out, const char *text, size_t n);

/** Reads a plain decimal as an integer and a scale: "-12.345" is -12345 with scale 3, "7" is 7
 *  with scale 0, "7." too. The same grammar without exponent, with `decimal_point` for the point.
 *  False, outputs untouched, for anything else or more than 18 digits (zeros in front do not
 *  count, those behind do): wa_number_parse then says more. */
bool wa_decimal_parse(int64_t *digits, int *scale, const char *text, size_t n, char decimal_point);

#ifdef __cplusplus
}
#endif
#endif
