#include "report/digits.h"

#include "windassay/number.h"

#include <math.h>
#include <string.h>

enum { MOST_DECIMALS = 12 };

/* What a record states is finite; a sum or a percentage of it need not be. */
static const char TOO_LARGE[] = "too large a number";

void wa_digits_fixed(wa_text *t, double x, int decimals)
{
    char s[WA_NUMBER_FIXED_SIZE];
    if (fabs(x) >= 1e15) {
        wa_digits_shortest(t, x);
        return;
    }
    wa_number_fixed(s, x, decimals);
    wa_text_add(t, s);
}

void wa_digits_shortest(wa_text *t, double x)
{
    char s[WA_NUMBER_SIZE];
    if (!isfinite(x)) {
        wa_text_add(t, TOO_LARGE);
        return;
    }
    wa_number_print(s, x);
    wa_text_add(t, s);
}

int wa_digits_usual(const char *unit)
{
    static const struct {
        const char *unit;
        int decimals;
    } usual[] = {
        {"1", 5},   {"m s-1", 3}, {"m/s", 3}, {"%", 2}, {"degree", 2},  {"degC", 2},
        {"hPa", 1}, {"dB", 2},    {"m", 2},   {"s", 1}, {"records", 0}, {"d", 2},
    };
    for (size_t i = 0; unit != NULL && i < sizeof usual / sizeof usual[0]; i++)
        if (strcmp(unit, usual[i].unit) == 0)
            return usual[i].decimals;
    return 4;
}

/* The text of `x` with `decimals`, to compare what a reader would see. */
static bool looks_equal(double a, double b, int decimals)
{
    char s[WA_NUMBER_FIXED_SIZE], t[WA_NUMBER_FIXED_SIZE];
    if (!isfinite(a) || !isfinite(b))
        return false;
    wa_number_fixed(s, a, decimals);
    wa_number_fixed(t, b, decimals);
    return strcmp(s, t) == 0;
}

/* Decimals that leave `digits` significant ones in x. */
static int decimals_for(double x, int digits)
{
    if (x == 0)
        return 0;
    int d = 0;
    double scaled = fabs(x), wanted = digits == 2 ? 10 : 100;
    while (d < MOST_DECIMALS && scaled < wanted) {
        scaled *= 10;
        d++;
    }
    return d;
}

/* 0.999997 is not 1.00000: without an uncertainty beside it nobody could tell. */
int wa_digits_unround(double x, int d)
{
    double whole = floor(x + 0.5);
    while (whole != 0 && x != whole && d < 8 && looks_equal(x, whole, d))
        d++;
    return d;
}

int wa_digits_requirement(const wa_value *requirement)
{
    double value, u, limit, guard = 0;
    int d = wa_digits_usual(wa_get_string(requirement, "unit"));
    if (!wa_number_of(wa_get(requirement, "value"), &value))
        return d;
    if (wa_number_of(wa_get(requirement, "u"), &u) && u > 0 && decimals_for(u, 2) > d)
        d = decimals_for(u, 2);
    else if (!wa_number_of(wa_get(requirement, "u"), &u))
        d = wa_digits_unround(value, d);
    wa_number_of(wa_get(requirement, "guard_band"), &guard);
    static const char *const ends[] = {"lower", "upper"};
    for (int end = 0; end < 2; end++) {
        if (!wa_number_of(wa_get(wa_get(requirement, "limits"), ends[end]), &limit))
            continue;
        const double edges[] = {limit, limit - guard, limit + guard};
        for (int i = 0; i < 3; i++)
            while (d < WA_DECIMALS_MAX && value != edges[i] && looks_equal(value, edges[i], d))
                d++;
    }
    return d;
}

/* True where `x` reads back from its text with `decimals`. */
static bool exact_with(double x, int decimals)
{
    char s[WA_NUMBER_FIXED_SIZE];
    double back;
    if (!isfinite(x))
        return true;
    size_t n = wa_number_fixed(s, x, decimals);
    return wa_number_parse(&back, s, n) == WA_PARSE_OK && back == x;
}

int wa_digits_of_u(double u)
{
    return decimals_for(u, 2);
}

/* From what exactness needs, what the unit usually gets and what the largest number needs. */
static int settle(int exact, double largest, const char *unit)
{
    int usual = wa_digits_usual(unit), least = decimals_for(largest, 3);
    if (usual < least)
        usual = least;
    return exact < usual ? exact : usual;
}

static int exact_from(double x, int d)
{
    while (d < MOST_DECIMALS && !exact_with(x, d))
        d++;
    return d;
}

void wa_digits_at_most(wa_text *t, double x, int decimals)
{
    int exact = exact_from(x, 0), least = decimals_for(x, 3);
    decimals = decimals < least ? least : decimals;
    if (decimals > WA_DECIMALS_MAX)
        decimals = WA_DECIMALS_MAX;
    wa_digits_fixed(t, x, exact < decimals ? exact : decimals);
}

int wa_digits_single(double x, const char *unit)
{
    return settle(exact_from(x, 0), fabs(x), unit);
}

int wa_digits_column(const wa_value *rows, size_t c, const char *unit)
{
    double x, largest = 0;
    int exact = 0;
    for (size_t i = 0; i < wa_count(rows); i++)
        if (wa_number_of(wa_at(wa_at(rows, i), c), &x)) {
            largest = fmax(largest, fabs(x));
            exact = exact_from(x, exact);
        }
    /* Beside nothing larger, the rounding of a computation is a nought, not twelve decimals of it. */
    if (largest < 1e-10)
        return largest == 0 ? 0 : wa_digits_usual(unit);
    return settle(exact, largest, unit);
}
