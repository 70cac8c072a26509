#include "windassay/table.h"

#include "data/rows.h"
#include "windassay/number.h"
#include "windassay/text.h"
#include "windassay/time.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FIELDS_LIMIT = 1 << 26 };

/* While reading: the fields of each column one after another, each with its NUL. */
typedef struct reading {
    wa_table *t;
    wa_text *raw;  /* by column */
    size_t *lines; /* by row */
    size_t room;
} reading;

static bool same_word(const char *s, size_t n, const char *lower)
{
    for (size_t i = 0; i < n; i++)
        if (lower[i] == '\0' || (s[i] | 0x20) != lower[i])
            return false;
    return lower[n] == '\0';
}

static const char *trim(const char *s, size_t *n)
{
    while (*n > 0 && (*s == ' ' || *s == '\t')) {
        s++;
        (*n)--;
    }
    while (*n > 0 && (s[*n - 1] == ' ' || s[*n - 1] == '\t'))
        (*n)--;
    return s;
}

static bool is_missing(const char *s, size_t n)
{
    return n == 0 || same_word(s, n, "nan") || same_word(s, n, "na");
}

static bool read_number(double *out, const char *s)
{
    size_t n = strlen(s);
    s = trim(s, &n);
    *out = (double)NAN;
    return is_missing(s, n) || wa_number_parse(out, s, n) == WA_PARSE_OK;
}

static bool read_time(double *out, const char *s, wa_time_seen *seen)
{
    static wa_zone_span utc[1] = {{INT64_MAX, 0}};
    const wa_time_rule stated = {.format = WA_TIME_ISO8601};
    const wa_time_rule plain = {.format = WA_TIME_ISO8601, .zone = utc, .n_zone = 1};
    size_t n = strlen(s);
    int64_t t;
    s = trim(s, &n);
    *out = (double)NAN;
    if (is_missing(s, n))
        return true;
    /* without a zone every stamp must state its own; else it is one of a column without */
    bool good = wa_time_parse(&t, NULL, &stated, seen, s, n, NULL) == WA_OK ||
                ((!seen->any || !seen->offset) &&
                 wa_time_parse(&t, NULL, &plain, seen, s, n, NULL) == WA_OK && !seen->offset);
    if (good)
        *out = (double)t / 1e9;
    return good;
}

/* Fills at[] if all n fields are of the kind; else says at which row it ends. */
static bool try_kind(wa_table_column *c, const char *raw, size_t n, wa_table_kind kind,
                     size_t *ends)
{
    wa_time_seen seen = {false, false};
    for (size_t i = 0; i < n; i++, raw += strlen(raw) + 1)
        if (kind == WA_TABLE_NUMBERS ? !read_number(&c->at[i], raw)
                                     : !read_time(&c->at[i], raw, &seen)) {
            *ends = i;
            return false;
        }
    c->kind = kind;
    c->has_offset = kind == WA_TABLE_TIMES && seen.offset;
    return true;
}

static bool take_texts(wa_table_column *c, wa_text *raw, size_t n)
{
    c->kind = WA_TABLE_TEXT;
    c->bytes = raw->at;
    *raw = (wa_text)WA_TEXT_INIT;
    c->texts = calloc(n + 1, sizeof *c->texts);
    if (c->texts == NULL)
        return false;
    const char *at = c->bytes;
    for (size_t i = 0; i < n; i++, at += strlen(at) + 1)
        c->texts[i] = at;
    free(c->at);
    c->at = NULL;
    return true;
}

static wa_status settle(reading *r, size_t k, wa_error *err)
{
    wa_table_column *c = &r->t->columns[k];
    size_t n = r->t->n, number_ends = 0, time_ends = 0;
    if (wa_text_failed(&r->raw[k]) || (c->at = calloc(n + 1, sizeof *c->at)) == NULL)
        return wa_no_memory(err);
    const char *raw = wa_text_string(&r->raw[k]);
    if (try_kind(c, raw, n, WA_TABLE_NUMBERS, &number_ends) ||
        try_kind(c, raw, n, WA_TABLE_TIMES, &time_ends))
        return WA_OK;
    c->first_at = number_ends;
    c->first_line = r->lines[number_ends];
    return take_texts(c, &r->raw[k], n) ? WA_OK : wa_no_memory(err);
}

static wa_status start(reading *r, const wa_rows *rows, wa_error *err)
{
    wa_table *t = r->t;
    t->n_columns = wa_rows_columns(rows);
    t->columns = calloc(t->n_columns + 1, sizeof *t->columns);
    r->raw = calloc(t->n_columns + 1, sizeof *r->raw);
    if (t->columns == NULL || r->raw == NULL)
        return wa_no_memory(err);
    for (size_t k = 0; k < t->n_columns; k++)
        if ((t->columns[k].name = strdup(wa_rows_names(rows)[k])) == NULL)
            return wa_no_memory(err);
    return WA_OK;
}

static wa_status add_row(reading *r, wa_rows *rows, const wa_field *fields, wa_error *err)
{
    wa_table *t = r->t;
    if ((t->n + 1) * t->n_columns > FIELDS_LIMIT)
        return wa_fail_at(err, WA_ERR_LIMIT, t->file, wa_rows_line(rows), 0,
                          "the table has more than %d fields", FIELDS_LIMIT);
    if (t->n == r->room) {
        size_t room = r->room == 0 ? 256 : 2 * r->room;
        size_t *lines = realloc(r->lines, room * sizeof *lines);
        if (lines == NULL)
            return wa_no_memory(err);
        r->lines = lines;
        r->room = room;
    }
    r->lines[t->n++] = wa_rows_line(rows);
    for (size_t k = 0; k < t->n_columns; k++)
        wa_text_add_bytes(&r->raw[k], fields[k].at, fields[k].length + 1);
    return WA_OK;
}

static wa_status read_all(reading *r, wa_rows *rows, wa_error *err)
{
    wa_status status = start(r, rows, err);
    const wa_field *fields = NULL;
    while (status == WA_OK) {
        status = wa_rows_next(rows, &fields, err);
        if (status != WA_OK || fields == NULL)
            break;
        status = add_row(r, rows, fields, err);
    }
    for (size_t k = 0; status == WA_OK && k < r->t->n_columns; k++)
        status = settle(r, k, err);
    if (status == WA_OK) {
        r->t->stored = wa_rows_stored(rows);
        memcpy(r->t->sha256, wa_rows_sha256(rows), sizeof r->t->sha256);
    }
    return status;
}

wa_status wa_table_read(wa_table **out, int fd, const char *file, wa_error *err)
{
    const wa_layout layout = {.delimiter = ',', .decimal = '.', .names_row = 1};
    wa_rows *rows = NULL;
    reading r = {.t = calloc(1, sizeof *r.t)};
    wa_status status = wa_rows_open(&rows, fd, file, &layout, err);
    if (status == WA_OK && (r.t == NULL || (r.t->file = strdup(file)) == NULL))
        status = wa_no_memory(err);
    if (status == WA_OK)
        status = read_all(&r, rows, err);
    for (size_t k = 0; r.raw != NULL && k < r.t->n_columns; k++)
        wa_text_release(&r.raw[k]);
    free(r.raw);
    free(r.lines);
    wa_rows_close(rows);
    if (status == WA_OK)
        *out = r.t;
    else
        wa_table_free(r.t);
    return status;
}

void wa_table_free(wa_table *t)
{
    if (t == NULL)
        return;
    for (size_t k = 0; t->columns != NULL && k < t->n_columns; k++) {
        free(t->columns[k].name);
        free(t->columns[k].at);
        free(t->columns[k].texts);
        free(t->columns[k].bytes);
    }
    free(t->columns);
    free(t->file);
    free(t);
}

wa_status wa_table_find(const wa_table_column **out, const wa_table *t, const char *name,
                        wa_error *err)
{
    for (size_t k = 0; k < t->n_columns; k++)
        if (strcmp(t->columns[k].name, name) == 0) {
            *out = &t->columns[k];
            return WA_OK;
        }
    char shown[80];
    const char **names = calloc(t->n_columns + 1, sizeof *names);
    if (names == NULL)
        return wa_no_memory(err);
    for (size_t k = 0; k < t->n_columns; k++)
        names[k] = t->columns[k].name;
    const char *near = wa_nearest(name, names, t->n_columns);
    free(names);
    wa_fail_at(err, WA_ERR_DATA, t->file, 0, 0, "there is no column '%s'",
               wa_shown(shown, sizeof shown, name, strlen(name)));
    return near == NULL ? WA_ERR_DATA : wa_hint(err, WA_ERR_DATA, "'%s'?", near);
}

wa_status wa_table_not_numbers(const wa_table *t, const wa_table_column *c, wa_error *err)
{
    char name[80], field[80];
    const char *text = c->texts[c->first_at];
    wa_shown(name, sizeof name, c->name, strlen(c->name));
    return wa_fail_at(err, WA_ERR_DATA, t->file, c->first_line, 0,
                      "column '%s': '%s' is not a number", name,
                      wa_shown(field, sizeof field, text, strlen(text)));
}
