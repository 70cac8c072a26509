/* Reading numbers: three ways of growing cost, each exact where it answers. */
#include "windassay/number.h"

#include "base/bits.h"
#include "base/powers_of_ten.h"
#include "windassay/int128.h"

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* What a text says: significant digits, and the power of ten of the last one kept. */
typedef struct scanned {
    bool negative;
    const char *mantissa; /* from the first digit or point to the exponent */
    size_t mantissa_length;
    uint64_t digits; /* the first 19 significant digits        */
    int count;       /* how many those are                     */
    bool more;       /* digits beyond those that are not all 0 */
    int64_t exponent;
} scanned;

/* The exponent's text; far values are kept far. False: no digits. */
static bool scan_exponent(const char *text, size_t n, int64_t *exponent)
{
    bool down = n > 0 && text[0] == '-';
    size_t i = n > 0 && (text[0] == '-' || text[0] == '+') ? 1 : 0;
    int64_t e = 0;
    if (i == n)
        return false;
    for (; i < n; i++) {
        if (!is_digit(text[i]))
            return false;
        if (e < INT64_MAX / 40)
            e = 10 * e + (text[i] - '0');
    }
    *exponent = down ? -e : e;
    return true;
}

static bool scan(scanned *s, const char *text, size_t n)
{
    size_t i = 0, seen = 0;
    bool point = false;
    *s = (scanned){0};
    if (n == 0)
        return false; /* text may be NULL then */
    if (text[0] == '+' || text[0] == '-')
        s->negative = text[i++] == '-';
    s->mantissa = text + i;
    for (; i < n && (is_digit(text[i]) || (text[i] == '.' && !point)); i++) {
        if (text[i] == '.') {
            point = true;
            continue;
        }
        seen++;
        if (point)
            s->exponent--;
        if (s->count == 19) {
            s->more = s->more || text[i] != '0';
            s->exponent++;
        } else if (s->digits != 0 || text[i] != '0') {
            s->digits = 10 * s->digits + (uint64_t)(text[i] - '0');
            s->count++;
        }
    }
    s->mantissa_length = (size_t)(text + i - s->mantissa);
    if (seen == 0)
        return false;
    if (i == n)
        return true;
    int64_t e;
    if ((text[i] != 'e' && text[i] != 'E') || !scan_exponent(text + i + 1, n - i - 1, &e))
        return false;
    s->exponent += e;
    return true;
}

/* Digits below 2^53 and a power of ten that is a double: one rounding (Clinger 1990). */
static bool read_short(const scanned *s, double *out)
{
    static const double ten_to[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                    1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    if (s->more || s->digits >> 53 != 0 || s->exponent < -22 || s->exponent > 22)
        return false;
    double d = (double)s->digits;
    *out = s->exponent < 0 ? d / ten_to[-s->exponent] : d * ten_to[s->exponent];
    return true;
}

/* 64 bits of digits times 128 bits of power: settled unless the product lies so near to a halfway
 * point that what was cut off could decide. */
static bool read_middle(const scanned *s, double *out)
{
    if (s->exponent < POWER_MIN || s->exponent > POWER_MAX)
        return false;
    int zeros = __builtin_clzll(s->digits), e = (int)s->exponent;
    uint64_t digits = s->digits << zeros;
    const uint64_t *g = POWER_OF_TEN[e - POWER_MIN];
    /* The value is (digits + less than 2^zeros) * (g - less than 1): above low and below high. */
    wa_uint128 part = (wa_uint128)digits * g[1];
    wa_uint128 product = (wa_uint128)digits * g[0] + (uint64_t)(part >> 64);
    wa_uint128 low = product - 2, high = product + 2;
    if (s->more)
        high += (wa_uint128)(g[0] + 1) << zeros; /* g * 2^zeros / 2^64, rounded up */
    if (high < product)
        return false;
    /* 10^e = g * 2^(floor(log2 10^e) - 127); product = digits * g / 2^64 */
    int power = ((e * 1741647) >> 19) - 127 + 64 - zeros;
    double a = wa_compose(s->negative, (uint64_t)(low >> 64), power + 64, (uint64_t)low != 0);
    double b = wa_compose(s->negative, (uint64_t)(high >> 64), power + 64, (uint64_t)high != 0);
    if (a != b)
        return false;
    *out = a;
    return true;
}

/* ---- the long way: big integers ---- */

enum {
    LIMBS = 160,      /* 10^1150 has 3821 bits = 120 limbs; a quotient needs a few more */
    DIGITS_KEPT = 800 /* beyond 770 digits only "more or nothing" counts               */
};

typedef struct big {
    uint32_t limb[LIMBS];
    int size;
} big;

static void big_times_plus(big *b, uint32_t factor, uint32_t plus)
{
    uint64_t over = plus;
    for (int i = 0; i < b->size; i++) {
        over += (uint64_t)b->limb[i] * factor;
        b->limb[i] = (uint32_t)over;
        over >>= 32;
    }
    if (over != 0)
        b->limb[b->size++] = (uint32_t)over;
}

static void big_shift(big *b, int bits)
{
    for (; bits >= 31; bits -= 31)
        big_times_plus(b, (uint32_t)1 << 31, 0);
    big_times_plus(b, (uint32_t)1 << bits, 0);
}

static void big_times_power(big *b, int ten_exponent)
{
    for (; ten_exponent >= 9; ten_exponent -= 9)
        big_times_plus(b, 1000000000, 0);
    for (; ten_exponent > 0; ten_exponent--)
        big_times_plus(b, 10, 0);
}

static int big_bits(const big *b)
{
    return b->size == 0 ? 0 : 32 * b->size - __builtin_clz(b->limb[b->size - 1]);
}

static int big_compare(const big *a, const big *b)
{
    if (a->size != b->size)
        return a->size < b->size ? -1 : 1;
    for (int i = a->size - 1; i >= 0; i--)
        if (a->limb[i] != b->limb[i])
            return a->limb[i] < b->limb[i] ? -1 : 1;
    return 0;
}

/* a -= b, a >= b */
static void big_subtract(big *a, const big *b)
{
    int64_t over = 0;
    for (int i = 0; i < a->size; i++) {
        over += (int64_t)a->limb[i] - (i < b->size ? (int64_t)b->limb[i] : 0);
        a->limb[i] = (uint32_t)over;
        over >>= 32;
    }
    while (a->size > 0 && a->limb[a->size - 1] == 0)
        a->size--;
}

/* All digits as a big integer, at most DIGITS_KEPT of them; returns the exponent to go with it. */
static int64_t take_digits(big *b, const scanned *s)
{
    int kept = 0;
    int64_t exponent = s->exponent;
    bool more = false;
    for (size_t i = 0, after = 0; i < s->mantissa_length; i++) {
        char c = s->mantissa[i];
        if (c == '.' || (b->size == 0 && c == '0'))
            continue;
        after++;
        if (kept < DIGITS_KEPT) {
            big_times_plus(b, 10, (uint32_t)(c - '0'));
            kept++;
            exponent -= after > 19; /* scan counted these as zeros */
        } else {
            more = more || c != '0';
        }
    }
    if (more) { /* one digit stands for all that follow */
        big_times_plus(b, 10, 1);
        exponent--;
    }
    return exponent;
}

static double read_long(const scanned *s)
{
    big top = {.size = 0}, under = {.limb = {1}, .size = 1};
    int exponent = (int)take_digits(&top, s);
    if (exponent >= 0)
        big_times_power(&top, exponent);
    else
        big_times_power(&under, -exponent);
    /* top < 2^64 under and at least 2^62 under: the quotient has 63 or 64 bits */
    int shift = big_bits(&under) + 63 - big_bits(&top);
    if (shift > 0)
        big_shift(&top, shift);
    else
        big_shift(&under, -shift);
    big_shift(&under, 63);
    uint64_t quotient = 0;
    for (int i = 63; i >= 0; i--) { /* bit by bit: under is halved by doubling the rest */
        quotient <<= 1;
        if (big_compare(&top, &under) >= 0) {
            big_subtract(&top, &under);
            quotient |= 1;
        }
        if (i > 0)
            big_times_plus(&top, 2, 0);
    }
    return wa_compose(s->negative, quotient, -shift, top.size != 0);
}

wa_parse wa_number_parse(double *out, const char *text, size_t n)
{
    scanned s;
    if (!scan(&s, text, n))
        return WA_PARSE_NOT_A_NUMBER;
    double x = 0;
    if (s.digits == 0 || s.exponent + s.count < -400) {
        *out = 0; /* nothing, or far below the smallest */
        return WA_PARSE_OK;
    }
    if (s.exponent + s.count > 400)
        return WA_PARSE_OUT_OF_RANGE;
    if (read_short(&s, &x))
        x = s.negative ? -x : x;
    else if (!read_middle(&s, &x))
        x = read_long(&s);
    if (isinf(x))
        return WA_PARSE_OUT_OF_RANGE;
    *out = x;
    return WA_PARSE_OK;
}

bool wa_decimal_parse(int64_t *digits, int *scale, const char *text, size_t n, char decimal_point)
{
    size_t i = 0, seen = 0;
    int count = 0, decimals = 0;
    bool negative = false, point = false;
    int64_t v = 0;
    if (n > 0 && (text[0] == '+' || text[0] == '-'))
        negative = text[i++] == '-';
    for (; i < n; i++) {
        if (text[i] == decimal_point && !point) {
            point = true;
            continue;
        }
        if (!is_digit(text[i]))
            return false;
        seen++;
        decimals += point;
        if (v != 0 || text[i] != '0')
            count++;
        if (count > 18 || decimals > 18)
            return false;
        v = 10 * v + (text[i] - '0');
    }
    if (seen == 0)
        return false;
    *digits = negative ? -v : v;
    *scale = decimals;
    return true;
}
