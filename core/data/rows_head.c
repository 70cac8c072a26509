/* The head of a CSV file: preamble, names and units; columns by name. */
#include "data/rows_inside.h"
#include "windassay/text.h"

#include <stdlib.h>
#include <string.h>

static const char *name_of(const wa_rows *r)
{
    return wa_lines_name(r->lines);
}

static wa_status keep(wa_rows *r, kept_row *k, wa_error *err)
{
    size_t n;
    const char *raw = wa_lines_held(r->lines, &n);
    k->text = calloc(r->n_fields, sizeof *k->text);
    k->raw = malloc(n + 1);
    if (k->text == NULL || k->raw == NULL)
        return wa_no_memory(err);
    memcpy(k->raw, raw, n);
    k->raw_length = n;
    k->line = r->line;
    for (; k->n < r->n_fields; k->n++)
        if ((k->text[k->n] = strdup(r->field[k->n].at)) == NULL)
            return wa_no_memory(err);
    return WA_OK;
}

static wa_status skip_to(wa_rows *r, size_t line, wa_error *err)
{
    while (wa_lines_number(r->lines) + 1 < line) {
        const char *at;
        size_t n = 0;
        wa_status status = wa_lines_next(r->lines, false, &at, &n, err);
        if (status != WA_OK)
            return status;
        if (n == 0)
            return wa_fail_at(err, WA_ERR_DATA, name_of(r), wa_lines_number(r->lines), 0,
                              "the file ends before line %zu", line);
    }
    return WA_OK;
}

/* The preamble is text of any kind, no CSV: only lines that begin like the names row are read
 * as a row. */
static wa_status find_names(wa_rows *r, const char *begin, wa_error *err)
{
    size_t length = strlen(begin);
    const char *at = NULL;
    size_t n = 0;
    for (;;) {
        wa_status status = wa_lines_next(r->lines, false, &at, &n, err);
        if (status != WA_OK)
            return status;
        if (n == 0) {
            wa_fail_at(err, WA_ERR_DATA, name_of(r), wa_lines_number(r->lines), 0,
                       "no row of names that begins with '%s'", begin);
            return wa_hint(err, WA_ERR_DATA, "see header = { names_begin_with = } of the source");
        }
        size_t skip = *at == '"' ? 1 : 0;
        if (n < length + skip || memcmp(at + skip, begin, length) != 0)
            continue;
        const char *after = at + skip + length;
        if (skip && after < at + n && *after == '"')
            after++;
        if (after == at + n || *after == r->delimiter || *after == '\r' || *after == '\n')
            break;
    }
    return wa_rows_split(r, at, n, err);
}

static const char *other_delimiter(const wa_rows *r)
{
    static const char *const name[] = {"a tab", "';'", "','", "'|'"};
    static const char byte[] = "\t;,|";
    for (size_t i = 0; byte[i] != '\0'; i++)
        if (byte[i] != r->delimiter && memchr(r->names.raw, byte[i], r->names.raw_length) != NULL)
            return name[i];
    return NULL;
}

static int by_name(const void *a, const void *b)
{
    const char *const *x = *(const char *const *const *)a, *const *y =
                                                               *(const char *const *const *)b;
    int order = strcmp(*x, *y);
    return order != 0 ? order : x < y ? -1 : 1;
}

static wa_status check_names(const wa_rows *r, wa_error *err)
{
    const char *const *names = wa_rows_names(r);
    const char *other = r->names.n == 1 ? other_delimiter(r) : NULL;
    if (other != NULL) {
        wa_fail_at(err, WA_ERR_DATA, name_of(r), r->names.line, 1, "1 column only");
        return wa_hint(err, WA_ERR_DATA, "is the delimiter %s? set delimiter for the source",
                       other);
    }
    for (size_t i = 0; i < r->names.n; i++)
        if (names[i][0] == '\0')
            return wa_rows_fail_name(r, i, false, err, "the name of column %zu is empty", i + 1);
    const char *const **sorted = malloc(r->names.n * sizeof *sorted);
    if (sorted == NULL)
        return wa_no_memory(err);
    for (size_t i = 0; i < r->names.n; i++)
        sorted[i] = names + i;
    qsort(sorted, r->names.n, sizeof *sorted, by_name);
    size_t twice = SIZE_MAX;
    for (size_t i = 1; i < r->names.n; i++) {
        size_t second = (size_t)(sorted[i] - names);
        if (strcmp(*sorted[i - 1], *sorted[i]) == 0 && second < twice)
            twice = second;
    }
    free(sorted);
    if (twice == SIZE_MAX)
        return WA_OK;
    char shown[96];
    wa_shown(shown, sizeof shown, names[twice], strlen(names[twice]));
    return wa_rows_fail_name(r, twice, false, err, "column name '%s' stands twice", shown);
}

wa_status wa_rows_read_head(wa_rows *r, const wa_layout *layout, wa_error *err)
{
    bool empty = false;
    wa_status status;
    size_t above = 0; /* rows before the one that counts as row 1 */
    if (layout->names_begin_with != NULL) {
        status = find_names(r, layout->names_begin_with, err);
        above = r->line - 1;
    } else if ((status = skip_to(r, layout->names_row, err)) == WA_OK) {
        status = wa_rows_read(r, &empty, err);
    }
    if (status != WA_OK)
        return status;
    if (r->n_fields == 0) {
        wa_fail_at(err, WA_ERR_DATA, name_of(r), r->line, 1, "the header is empty");
        return wa_hint(err, WA_ERR_DATA, "a row of column names is needed");
    }
    if ((status = keep(r, &r->names, err)) != WA_OK || (status = check_names(r, err)) != WA_OK)
        return status;
    if (layout->units_row != 0) {
        if ((status = skip_to(r, above + layout->units_row, err)) != WA_OK ||
            (status = wa_rows_read(r, &empty, err)) != WA_OK)
            return status;
        if (r->n_fields != r->names.n)
            return wa_fail_at(err, WA_ERR_DATA, name_of(r), r->line, 1, "%zu units, %zu expected",
                              r->n_fields, r->names.n);
        if ((status = keep(r, &r->units, err)) != WA_OK)
            return status;
    }
    return layout->first_row == 0 ? WA_OK : skip_to(r, above + layout->first_row, err);
}

size_t wa_rows_columns(const wa_rows *r)
{
    return r->names.n;
}

const char *const *wa_rows_names(const wa_rows *r)
{
    return (const char *const *)r->names.text;
}

const char *const *wa_rows_units(const wa_rows *r)
{
    return (const char *const *)r->units.text;
}

size_t wa_rows_find(const wa_rows *r, const char *name)
{
    for (size_t i = 0; i < r->names.n; i++)
        if (strcmp(r->names.text[i], name) == 0)
            return i;
    return SIZE_MAX;
}

/* The name that is meant: blanks around it are the commonest slip, then a letter. */
static size_t nearest_column(const wa_rows *r, const char *name)
{
    const char *const *names = wa_rows_names(r);
    for (size_t i = 0; i < r->names.n; i++) {
        const char *from = names[i] + strspn(names[i], " \t");
        size_t n = strlen(from);
        while (n > 0 && (from[n - 1] == ' ' || from[n - 1] == '\t'))
            n--;
        if (n == strlen(name) && memcmp(from, name, n) == 0)
            return i;
    }
    const char *near = wa_nearest(name, names, r->names.n);
    for (size_t i = 0; i < r->names.n; i++)
        if (names[i] == near)
            return i;
    return SIZE_MAX;
}

wa_status wa_rows_column(size_t *out, const wa_rows *r, const char *name, const char *what,
                         wa_error *err)
{
    size_t at = wa_rows_find(r, name);
    if (at != SIZE_MAX) {
        *out = at;
        return WA_OK;
    }
    size_t near = nearest_column(r, name);
    char shown[128];
    if (near == SIZE_MAX) {
        wa_fail_at(err, WA_ERR_DATA, name_of(r), r->names.line, 1, "%s: no column '%s'", what,
                   name);
        return wa_hint(err, WA_ERR_DATA, "%zu columns, the first is '%s'", r->names.n,
                       wa_shown(shown, sizeof shown, r->names.text[0], strlen(r->names.text[0])));
    }
    wa_rows_fail_name(r, near, false, err, "%s: no column '%s'", what, name);
    return wa_hint(err, WA_ERR_DATA, "did you mean '%s'?",
                   wa_shown(shown, sizeof shown, r->names.text[near], strlen(r->names.text[near])));
}
