/* Numbers: accepted exactly where the grammar of number.h holds, and then what glibc's strtod gives
 * (the second opinion); printed, they read back; fixed decimals are those of glibc's printf, which
 * rounds exactly. wa_decimal_parse agrees wherever it accepts. */
#include "fuzz.h"

#include "windassay/number.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static size_t digits(const char *s, size_t at, size_t n)
{
    while (at < n && s[at] >= '0' && s[at] <= '9')
        at++;
    return at;
}

/* The grammar, written a second time: [+-] digits [. [digits]] [e..] or [+-] . digits [e..]. */
static bool is_number(const char *s, size_t n, bool *plain)
{
    size_t at = n > 0 && (s[0] == '+' || s[0] == '-') ? 1 : 0;
    size_t whole = digits(s, at, n) - at, part = 0;
    at += whole;
    if (at < n && s[at] == '.') {
        part = digits(s, at + 1, n) - at - 1;
        at += 1 + part;
    }
    if (whole + part == 0)
        return false;
    *plain = at == n;
    if (at < n && (s[at] == 'e' || s[at] == 'E')) {
        at++;
        at += at < n && (s[at] == '+' || s[at] == '-') ? 1 : 0;
        size_t end = digits(s, at, n);
        return end > at && end == n;
    }
    return at == n;
}

static bool same(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0;
}

static void prints(double x, const char *s, size_t n)
{
    char text[WA_NUMBER_SIZE], fixed[WA_NUMBER_FIXED_SIZE], theirs[400];
    double back = 0;
    size_t length = wa_number_print(text, x);
    FUZZ_HOLDS(length == strlen(text) && length < WA_NUMBER_SIZE);
    FUZZ_HOLDS(wa_number_parse(&back, text, length) == WA_PARSE_OK && same(back, x));
    int decimals = (int)((unsigned char)s[n - 1] % (WA_DECIMALS_MAX + 1));
    length = wa_number_fixed(fixed, x, decimals);
    snprintf(theirs, sizeof theirs, "%.*f", decimals, x);
    const char *right = theirs;
    if (theirs[0] == '-' && strspn(theirs, "-0.") == strlen(theirs))
        right++; /* minus zero */
    FUZZ_HOLDS(length == strlen(fixed) && strcmp(fixed, right) == 0);
}

static void decimal_agrees(const char *s, size_t n, bool plain, double x)
{
    int64_t whole = 0;
    int scale = 0;
    if (!wa_decimal_parse(&whole, &scale, s, n, '.'))
        return;
    char text[64];
    FUZZ_HOLDS(plain && scale >= 0);
    snprintf(text, sizeof text, "%lldE-%d", (long long)whole, scale);
    double same_number = strtod(text, NULL);
    FUZZ_HOLDS(same(same_number + 0.0, x));
    char *comma = fuzz_string((const uint8_t *)s, n);
    char *point = memchr(comma, '.', n);
    if (point != NULL)
        *point = ',';
    int64_t whole_again = 1;
    int scale_again = -1;
    FUZZ_HOLDS(wa_decimal_parse(&whole_again, &scale_again, comma, n, ','));
    FUZZ_HOLDS(whole == whole_again && scale == scale_again);
    free(comma);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char *s = fuzz_string(data, size);
    double x = -7;
    int64_t whole = 0;
    int scale = 0;
    bool plain = false;
    wa_parse got = wa_number_parse(&x, s, size);
    if (!is_number(s, size, &plain)) {
        FUZZ_HOLDS(got == WA_PARSE_NOT_A_NUMBER && same(x, -7));
        FUZZ_HOLDS(!wa_decimal_parse(&whole, &scale, s, size, '.'));
    } else {
        double theirs = strtod(s, NULL);
        if (isinf(theirs)) {
            FUZZ_HOLDS(got == WA_PARSE_OUT_OF_RANGE && same(x, -7));
        } else {
            FUZZ_HOLDS(got == WA_PARSE_OK && same(x, theirs + 0.0)); /* minus zero becomes 0 */
            prints(x, s, size);
            decimal_agrees(s, size, plain, x);
        }
    }
    free(s);
    return 0;
}
