/* A difference as a line of text. */
#include "run/difference.h"
#include "windassay/number.h"

#include <string.h>

static void print_cell(wa_text *out, const wa_value *v)
{
    enum { CELL_MOST = 60 };
    char number[WA_NUMBER_SIZE];
    double x;
    const char *text = wa_string_of(v);
    if (v == NULL) {
        wa_text_add(out, "absent");
    } else if (wa_number_of(v, &x)) {
        wa_text_add_bytes(out, number, wa_number_print(number, x));
    } else if (text != NULL) {
        size_t n = wa_length_of(v);
        wa_text_add_char(out, '\'');
        wa_text_add_shown(out, text, n < CELL_MOST ? n : CELL_MOST);
        wa_text_add(out, n < CELL_MOST ? "'" : "...'");
    } else if (wa_value_kind(v) == WA_LIST || wa_value_kind(v) == WA_MAP) {
        wa_text_printf(out, "%zu entries", wa_count(v));
    } else {
        wa_text_add(out, wa_value_kind(v) == WA_NULL ? "missing" : wa_true(v) ? "true" : "false");
    }
}

/* ", table 'by bin'"; the comma only behind something. */
static void print_name(wa_text *out, size_t begin, const char *what, const char *name)
{
    if (name == NULL)
        return;
    wa_text_add(out, out->length > begin ? ", " : "");
    wa_text_add(out, what);
    wa_text_add(out, "'");
    wa_text_add_shown(out, name, strlen(name));
    wa_text_add(out, "'");
}

/* Units in the last place where they are few, else the relative difference in two digits. */
static void print_distance(wa_text *out, const wa_value *d)
{
    double relative, ulps;
    if (wa_number_of(wa_get(d, "ulps"), &ulps) && ulps <= 1000)
        wa_text_printf(out, " (%.0f unit%s in the last place)", ulps, ulps == 1 ? "" : "s");
    else if (wa_number_of(wa_get(d, "relative"), &relative))
        wa_text_printf(out, " (relative %.2g)", relative);
}

void wa_difference_print(wa_text *out, const wa_value *d, const char *before, const char *after)
{
    size_t begin = out->length;
    double row;
    const char *place = wa_get_string(d, "place");
    print_name(out, begin, "", wa_get_string(d, "file"));
    print_name(out, begin, "check ", wa_get_string(d, "check"));
    print_name(out, begin, "table ", wa_get_string(d, "table"));
    if (place != NULL) {
        wa_text_add(out, out->length > begin ? ", " : "");
        wa_text_add_shown(out, place, strlen(place));
    }
    if (wa_number_of(wa_get(d, "row"), &row)) {
        wa_text_printf(out, "%srow %.0f", out->length > begin ? ", " : "", row);
        if (wa_get(d, "key") != NULL) {
            wa_text_add(out, " (");
            print_cell(out, wa_get(d, "key"));
            wa_text_add(out, ")");
        }
    }
    print_name(out, begin, "column ", wa_get_string(d, "column"));
    wa_text_add(out, ": ");
    print_cell(out, wa_get(d, "before"));
    wa_text_printf(out, " %s, ", before);
    print_cell(out, wa_get(d, "after"));
    wa_text_printf(out, " %s", after);
    print_distance(out, d);
}
