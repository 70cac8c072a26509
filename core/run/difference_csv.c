/* Two CSV files of a dossier, cell by cell. */
#include "run/difference_walk.h"
#include "windassay/number.h"

#include <stdlib.h>
#include <string.h>

/* Takes the next field; true where more follow in its row. */
static bool next_field(wa_text *out, const char **at, const char *end)
{
    const char *c = *at;
    wa_text_clear(out);
    bool quoted = c < end && *c == '"';
    for (c += quoted; c < end; c++) {
        if (quoted && *c == '"' && (c + 1 == end || c[1] != '"')) {
            quoted = false;
            continue;
        }
        if (!quoted && (*c == ',' || *c == '\n'))
            break;
        c += quoted && *c == '"';
        wa_text_add_char(out, *c);
    }
    bool more = c < end && *c == ',';
    *at = c < end ? c + 1 : end;
    return more;
}

/* A cell as a number where it is one. */
static wa_value *cell(const wa_text *t)
{
    double x;
    if (wa_number_parse(&x, wa_text_string(t), t->length) == WA_PARSE_OK)
        return wa_number(x);
    return wa_bytes(wa_text_string(t), t->length);
}

typedef struct csv_row {
    const char *at, *end; /* of what is left of the file */
} csv_row;

/* The names of the columns, one after another with their NUL. */
static char **read_names(size_t *n, csv_row *f)
{
    char **names = NULL;
    wa_text field = WA_TEXT_INIT;
    bool more = f->at < f->end, good = true;
    for (*n = 0; more && good; ++*n) {
        more = next_field(&field, &f->at, f->end);
        char **larger = realloc(names, (*n + 2) * sizeof *names);
        good = larger != NULL && !wa_text_failed(&field);
        if (larger != NULL)
            names = larger;
        if (good)
            good = (names[*n] = strdup(wa_text_string(&field))) != NULL;
        if (!good)
            break;
    }
    wa_text_release(&field);
    if (good)
        return names == NULL ? calloc(1, sizeof *names) : names;
    for (size_t i = 0; i < *n; i++)
        free(names[i]);
    free(names);
    return NULL;
}

/* Compares one row, cell by cell. */
static void compare_row(wa_walk *w, char *const *names, size_t n, csv_row *a, csv_row *b)
{
    wa_text x = WA_TEXT_INIT, y = WA_TEXT_INIT;
    bool more_a = a->at < a->end, more_b = b->at < b->end;
    wa_value *key = NULL;
    for (size_t k = 0; (more_a || more_b) && !w->failed; k++) {
        bool in_a = more_a, in_b = more_b;
        wa_text_clear(&x);
        wa_text_clear(&y);
        more_a = in_a && next_field(&x, &a->at, a->end);
        more_b = in_b && next_field(&y, &b->at, b->end);
        w->failed = wa_text_failed(&x) || wa_text_failed(&y);
        if (k == 0 && !w->failed)
            w->key = key = cell(in_a ? &x : &y);
        if (w->failed || (in_a && in_b && x.length == y.length &&
                          memcmp(wa_text_string(&x), wa_text_string(&y), x.length) == 0))
            continue;
        wa_value *before = in_a ? cell(&x) : NULL, *after = in_b ? cell(&y) : NULL;
        w->column = k < n ? names[k] : NULL;
        wa_walk_add(w, before, after);
        wa_value_free(before);
        wa_value_free(after);
    }
    w->column = NULL;
    w->key = NULL;
    wa_value_free(key);
    wa_text_release(&x);
    wa_text_release(&y);
}

/* The number of differences before is where those of this file begin. */
static bool name_file(wa_differences *d, size_t from, const char *file)
{
    bool good = true;
    for (size_t i = from; i < wa_count(d->list) && good; i++)
        good = wa_map_set(wa_at_mutable(d->list, i), "file", wa_string(file));
    return good;
}

wa_status wa_difference_csv(wa_differences *d, const char *file, const wa_text *before,
                            const wa_text *after, wa_error *err)
{
    wa_walk w = {.d = d, .place = WA_TEXT_INIT};
    size_t from = wa_count(d->list), n = 0, m = 0, names_length;
    csv_row a = {wa_text_string(before), wa_text_string(before) + before->length};
    csv_row b = {wa_text_string(after), wa_text_string(after) + after->length};
    csv_row names_a = a, names_b = b;
    char **names = read_names(&n, &names_a), **other = read_names(&m, &names_b);
    w.failed = names == NULL || other == NULL;
    names_length = (size_t)(names_a.at - a.at);
    bool same_names =
        names_length == (size_t)(names_b.at - b.at) && memcmp(a.at, b.at, names_length) == 0;
    if (!w.failed && !same_names) {
        wa_text_add(&w.place, "the row of names");
        compare_row(&w, names, n, &a, &b);
    }
    a = names_a;
    b = names_b;
    for (w.row = 1; same_names && !w.failed && (a.at < a.end || b.at < b.end); w.row++)
        compare_row(&w, names, n, &a, &b);
    for (size_t i = 0; names != NULL && i < n; i++)
        free(names[i]);
    for (size_t i = 0; other != NULL && i < m; i++)
        free(other[i]);
    free(names);
    free(other);
    bool good = !w.failed && !wa_text_failed(&w.place) && name_file(d, from, file);
    wa_text_release(&w.place);
    return good ? WA_OK : wa_fail(err, WA_ERR_NOMEM, "out of memory");
}
