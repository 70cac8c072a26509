/* Units: what is read prints as a text that reads as the same unit; algebra on it either works or
 * says why not. */
#include "fuzz.h"

#include "windassay/unit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void prints(const wa_unit *u)
{
    wa_unit again = {0};
    wa_error err = {0};
    FUZZ_HOLDS(memchr(u->text, '\0', WA_UNIT_TEXT) != NULL && u->scale_den > 0);
    FUZZ_HOLDS(wa_unit_parse(&again, u->text, &err) == WA_OK);
    FUZZ_HOLDS(wa_unit_equal(u, &again) && strcmp(u->text, again.text) == 0);
}

static void computes(const wa_unit *a, const wa_unit *b)
{
    wa_unit out = {0};
    wa_error err = {0};
    wa_status s = wa_unit_multiply(&out, a, b, &err);
    if (s == WA_OK) {
        wa_unit back = {0};
        if (wa_unit_divide(&back, &out, b, &err) == WA_OK)
            FUZZ_HOLDS(wa_unit_equal(&back, a));
    } else {
        fuzz_error_is_clean(s, &err);
    }
    for (int p = -3; p <= 3; p++) {
        s = wa_unit_power(&out, a, p, &err);
        if (s != WA_OK)
            fuzz_error_is_clean(s, &err);
        else if (p == 2) {
            wa_unit root = {0};
            FUZZ_HOLDS(wa_unit_root(&root, &out, &err) == WA_OK && wa_unit_equal(&root, a));
        }
    }
    s = wa_unit_root(&out, a, &err);
    if (s != WA_OK)
        fuzz_error_is_clean(s, &err);
    double x = 0;
    s = wa_unit_convert(&x, 12.5, a, b, &err);
    if (s == WA_OK) {
        FUZZ_HOLDS(wa_unit_comparable(a, b));
    } else {
        fuzz_error_is_clean(s, &err);
        FUZZ_HOLDS(!wa_unit_comparable(a, b) || strstr(err.text, "too far") != NULL);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    /* Two units, a line each; the second may be absent. */
    char *s = fuzz_string(data, size);
    char *second = strchr(s, '\n');
    wa_unit a = {0}, b = wa_unit_one();
    wa_error err = {0};
    if (second != NULL)
        *second++ = '\0';
    wa_status status = wa_unit_parse(&a, s, &err);
    if (status == WA_OK) {
        prints(&a);
        wa_unit inside = wa_unit_inside(&a), difference = wa_unit_difference(&a);
        FUZZ_HOLDS(wa_unit_comparable(&a, &inside) && wa_unit_comparable(&a, &difference));
        FUZZ_HOLDS(!wa_unit_has_zero(&difference));
        computes(&a, &inside);
        if (second != NULL && wa_unit_parse(&b, second, NULL) == WA_OK)
            computes(&a, &b);
    } else {
        fuzz_error_is_clean(status, &err);
    }
    free(s);
    return 0;
}
