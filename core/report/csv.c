/* A table as RFC 4180 CSV: for programs, so the shortest text that reads back, in UDUNITS. */
#include "windassay/report.h"

#include "report/digits.h"
#include "windassay/csv_field.h"

static void head(wa_text *out, const wa_value *column)
{
    const char *name = wa_get_string(column, "name"), *unit = wa_get_string(column, "unit");
    wa_text t = WA_TEXT_INIT;
    wa_text_add(&t, name == NULL ? "" : name);
    if (unit != NULL && *unit != '\0')
        wa_text_printf(&t, " [%s]", unit);
    wa_csv_add_bytes(out, wa_text_string(&t), t.length);
    wa_text_release(&t);
}

/* An empty text is "" and a null is nothing at all, so that the two stay apart. */
static void cell(wa_text *out, const wa_value *v)
{
    double x;
    if (wa_number_of(v, &x))
        wa_digits_shortest(out, x);
    else if (wa_string_of(v) != NULL)
        wa_csv_add_bytes(out, wa_string_of(v), wa_length_of(v));
    else if (wa_value_kind(v) == WA_BOOL)
        wa_text_add(out, wa_true(v) ? "true" : "false");
}

wa_status wa_report_table_csv(wa_text *out, const wa_value *table, wa_error *err)
{
    const wa_value *columns = wa_get(table, "columns"), *rows = wa_get(table, "rows");
    size_t n = wa_count(columns);
    if (n == 0)
        return wa_fail(err, WA_ERR_DATA, "a table has no columns");
    for (size_t i = 0; i < wa_count(rows); i++)
        if (wa_count(wa_at(rows, i)) != n)
            return wa_fail(err, WA_ERR_DATA, "row %zu of a table has %zu cells for %zu columns",
                           i + 1, wa_count(wa_at(rows, i)), n);
    for (size_t c = 0; c < n; c++) {
        if (c > 0)
            wa_text_add_char(out, ',');
        head(out, wa_at(columns, c));
    }
    wa_text_add_char(out, '\n');
    for (size_t i = 0; i < wa_count(rows); i++) {
        for (size_t c = 0; c < n; c++) {
            if (c > 0)
                wa_text_add_char(out, ',');
            cell(out, wa_at(wa_at(rows, i), c));
        }
        wa_text_add_char(out, '\n');
    }
    return wa_text_failed(out) ? wa_fail(err, WA_ERR_NOMEM, "memory ran out") : WA_OK;
}
