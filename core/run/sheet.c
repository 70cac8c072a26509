#include "run/sheet.h"

#include "windassay/result.h"
#include "windassay/time.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

wa_sheet wa_sheet_begin(void)
{
    wa_sheet s = {.tables = wa_list(), .notes = wa_list()};
    s.failed = s.tables == NULL || s.notes == NULL;
    return s;
}

static void end_row(wa_sheet *s)
{
    if (s->row != NULL)
        s->failed = !wa_list_add(s->rows, s->row) || s->failed;
    s->row = NULL;
}

static void end_table(wa_sheet *s)
{
    end_row(s);
    if (s->name == NULL)
        return;
    wa_value *t = wa_map();
    bool good = wa_map_set(t, "name", wa_string(s->name));
    good = wa_map_set(t, "columns", s->columns) && good;
    good = wa_map_set(t, "rows", s->rows) && good;
    if (!good) {
        wa_value_free(t);
        t = NULL;
    }
    s->failed = !wa_list_add(s->tables, t) || s->failed;
    s->name = NULL;
    s->columns = s->rows = NULL;
}

void wa_sheet_table(wa_sheet *s, const char *name)
{
    end_table(s);
    s->name = name;
    s->columns = wa_list();
    s->rows = wa_list();
}

void wa_sheet_column(wa_sheet *s, const char *name, const char *unit)
{
    wa_value *c = wa_map();
    bool good = wa_map_set(c, "name", wa_string(name));
    if (unit != NULL)
        good = wa_map_set(c, "unit", wa_string(unit)) && good;
    if (!good) {
        wa_value_free(c);
        c = NULL;
    }
    s->failed = !wa_list_add(s->columns, c) || s->failed;
}

void wa_sheet_row(wa_sheet *s)
{
    end_row(s);
    s->row = wa_list();
}

static void cell(wa_sheet *s, wa_value *item)
{
    s->failed = !wa_list_add(s->row, item) || s->failed;
}

void wa_sheet_text(wa_sheet *s, const char *text)
{
    cell(s, text == NULL ? wa_null() : wa_string(text));
}

void wa_sheet_number(wa_sheet *s, double x)
{
    cell(s, isfinite(x) ? wa_number(x) : wa_null());
}

void wa_sheet_time(wa_sheet *s, int64_t t)
{
    char text[WA_TIME_TEXT_SIZE];
    wa_time_print(text, t);
    wa_sheet_text(s, text);
}

void wa_sheet_note(wa_sheet *s, const char *format, ...)
{
    char text[512];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    s->failed = !wa_list_add(s->notes, wa_string(text)) || s->failed;
}

wa_value *wa_titled(const char *title)
{
    wa_value *v = wa_map();
    if (!wa_map_set(v, "title", wa_string(title))) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

wa_status wa_sheet_end(wa_value **record, wa_sheet *s, const char *title, wa_error *err)
{
    end_table(s);
    wa_value *described = wa_titled(title), *entry = NULL, *reply = wa_map();
    wa_value *whole = wa_record_new(wa_titled(title));
    bool good = wa_map_set(reply, "tables", s->tables) && !s->failed;
    good = wa_map_set(reply, "notes", s->notes) && good && described != NULL && whole != NULL;
    wa_accounts accounts = {0};
    wa_status status = WA_OK;
    if (!good)
        status = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    if (status == WA_OK)
        status = wa_result_begin(&entry, "look", "look", described, NULL, NULL, err);
    if (status == WA_OK)
        status = wa_result_accept(&entry, &accounts, reply, 0, NULL, 0, err);
    if (status != WA_OK)
        wa_value_free(entry);
    else if (!wa_list_add(wa_get_mutable(whole, "checks"), entry))
        status = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    wa_accounts_release(&accounts);
    wa_value_free(described);
    wa_value_free(reply);
    if (status == WA_OK)
        *record = whole;
    else
        wa_value_free(whole);
    *s = (wa_sheet){0};
    return status;
}

void wa_sheet_release(wa_sheet *s)
{
    wa_value *held[] = {s->tables, s->notes, s->columns, s->rows, s->row};
    for (size_t i = 0; i < sizeof held / sizeof *held; i++)
        wa_value_free(held[i]);
    *s = (wa_sheet){0};
}
