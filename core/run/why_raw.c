#include "run/why_raw.h"

#include "data/plan.h"
#include "data/source_file.h"
#include "run/rerun.h"
#include "windassay/time.h"

#include <stdlib.h>
#include <string.h>

/* The rows of one interval, file by file: built while the files are read. */
struct wa_why_raw {
    size_t first, n;
    wa_value **files; /* a list for each of the n intervals */
    wa_value *not_found, *changed;
    size_t rows;
};

void wa_why_raw_close(wa_why_raw *r)
{
    if (r == NULL)
        return;
    for (size_t i = 0; r->files != NULL && i < r->n; i++)
        wa_value_free(r->files[i]);
    free(r->files);
    wa_value_free(r->not_found);
    wa_value_free(r->changed);
    free(r);
}

static wa_why_raw *new_raw(size_t first, size_t last)
{
    wa_why_raw *r = calloc(1, sizeof *r);
    if (r == NULL)
        return NULL;
    *r = (wa_why_raw){.first = first,
                      .n = last - first + 1,
                      .files = calloc(last - first + 1, sizeof(wa_value *)),
                      .not_found = wa_list(),
                      .changed = wa_list()};
    bool good = r->files != NULL && r->not_found != NULL && r->changed != NULL;
    for (size_t i = 0; i < r->n && good; i++)
        good = (r->files[i] = wa_list()) != NULL;
    if (good)
        return r;
    wa_why_raw_close(r);
    return NULL;
}

/* ---- one file -------------------------------------------------------------------------------- */

static wa_value *texts(const wa_source_file *f, bool names)
{
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (size_t k = 0; k < wa_rows_columns(f->rows) && good; k++) {
        wa_field field = {NULL, 0};
        if (!names)
            field = wa_source_field(f, k);
        good = wa_list_add(list, names ? wa_string(wa_rows_names(f->rows)[k])
                                       : wa_bytes(field.at, field.length));
    }
    if (!good) {
        wa_value_free(list);
        return NULL;
    }
    return list;
}

/* The entry of a file in the list of an interval, begun with its first row. */
static wa_value *entry_of(wa_value *list, const wa_source_file *f, const wa_found_file *found)
{
    size_t n = wa_count(list);
    wa_value *last = n == 0 ? NULL : wa_at_mutable(list, n - 1);
    const char *path = wa_get_string(last, "path");
    if (path != NULL && strcmp(path, found->path) == 0)
        return last;
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "path", wa_string(found->path)) &&
                wa_map_set(v, "source", wa_string(found->source)) &&
                wa_map_set(v, "sha256", wa_string(found->sha256)) &&
                wa_map_set(v, "names", texts(f, true)) && wa_map_set(v, "rows", wa_list());
    if (!good) {
        wa_value_free(v);
        v = NULL;
    }
    return wa_list_add(list, v) ? wa_at_mutable(list, n) : NULL;
}

static wa_status add_row(wa_why_raw *r, const wa_source_file *f, const wa_found_file *found,
                         size_t row, wa_error *err)
{
    if (++r->rows > WA_WHY_ROWS_MOST)
        return wa_fail(err, WA_ERR_LIMIT, "more than %d rows: ask for fewer intervals",
                       WA_WHY_ROWS_MOST);
    wa_value *entry = entry_of(r->files[row - r->first], f, found), *v = wa_map();
    bool good = entry != NULL && wa_map_set(v, "line", wa_number((double)wa_rows_line(f->rows))) &&
                wa_map_set(v, "fields", texts(f, false));
    if (!good) {
        wa_value_free(v);
        return wa_no_memory(err);
    }
    return wa_list_add(wa_get_mutable(entry, "rows"), v) ? WA_OK : wa_no_memory(err);
}

static wa_status read_file(wa_why_raw *r, const wa_plan *plan, const wa_found_file *found,
                           const wa_bag_grid *g, wa_error *err)
{
    int fd = -1;
    wa_source_file f = {0};
    int64_t from = g->from + (int64_t)r->first * g->interval_ns;
    int64_t to = from + (int64_t)r->n * g->interval_ns;
    wa_status s = wa_found_open(&fd, found, err);
    if (s != WA_OK)
        return s;
    s = wa_source_file_open(&f, plan, fd, found->path, false, err);
    while (s == WA_OK) {
        s = wa_source_file_next(&f, err);
        if (s != WA_OK || !f.any)
            break;
        if (f.middle >= from && f.middle < to)
            s = add_row(r, &f, found, (size_t)((f.middle - g->from) / g->interval_ns), err);
    }
    wa_source_file_release(&f);
    return s;
}

/* ---- all of them ----------------------------------------------------------------------------- */

/* Whether the stamps of an input come near the intervals: a clock may have been corrected by up to a
 * day. One without rows does not. */
static bool comes_near(const wa_value *record, const char *path, const wa_bag_grid *g,
                       const wa_why_raw *r)
{
    const wa_value *inputs = wa_get(record, "inputs");
    int64_t from = g->from + (int64_t)r->first * g->interval_ns, first = 0, last = 0;
    int64_t to = from + (int64_t)r->n * g->interval_ns;
    for (size_t i = 0; i < wa_count(inputs); i++) {
        const wa_value *v = wa_at(inputs, i);
        const char *name = wa_get_string(v, "path"), *a = wa_get_string(v, "first"),
                   *b = wa_get_string(v, "last");
        if (name != NULL && strcmp(name, path) == 0)
            return a != NULL && b != NULL &&
                   wa_instant_parse(&first, a, strlen(a), NULL) == WA_OK &&
                   wa_instant_parse(&last, b, strlen(b), NULL) == WA_OK && first - WA_DAY_NS < to &&
                   last + WA_DAY_NS > from;
    }
    return false;
}

static wa_status read_source(wa_why_raw *r, const wa_campaign *c, size_t source,
                             const wa_found *found, const wa_value *record, const wa_bag_grid *g,
                             wa_error *err)
{
    wa_plan plan = {0};
    wa_status s = wa_plan_make(&plan, c, source, err);
    for (size_t i = 0; i < found->n && s == WA_OK; i++) {
        const wa_found_file *f = &found->at[i];
        if (f->source == NULL || strcmp(f->source, c->sources[source].name) != 0 ||
            !comes_near(record, f->path, g, r))
            continue;
        if (f->how == WA_FOUND_SAME)
            s = read_file(r, &plan, f, g, err);
        else if (!wa_list_add(f->how == WA_FOUND_NOT ? r->not_found : r->changed,
                              wa_string(f->path)))
            s = wa_no_memory(err);
    }
    wa_plan_release(&plan);
    return s;
}

wa_status wa_why_raw_open(wa_why_raw **out, const wa_bag *bag, const wa_value *record,
                          const char *data, const wa_bag_grid *grid, size_t first, size_t last,
                          const wa_engine *engine, wa_error *err)
{
    wa_found found = {0};
    wa_agenda *agenda = NULL;
    wa_why_raw *r = new_raw(first, last);
    wa_status s = r == NULL ? wa_no_memory(err) : wa_found_look(&found, record, bag, data, err);
    if (s == WA_OK)
        s = wa_rerun_agenda(&agenda, bag, record, engine, err);
    for (size_t i = 0; s == WA_OK && i < agenda->campaign->n_sources; i++)
        s = read_source(r, agenda->campaign, i, &found, record, grid, err);
    wa_agenda_free(agenda);
    wa_found_release(&found);
    if (s == WA_OK)
        *out = r;
    else
        wa_why_raw_close(r);
    return s;
}

wa_value *wa_why_raw_tell(const wa_why_raw *r, size_t row)
{
    wa_value *v = wa_map();
    bool good = wa_map_set(v, "files", wa_value_copy(r->files[row - r->first])) &&
                wa_map_set(v, "not_found", wa_value_copy(r->not_found)) &&
                wa_map_set(v, "changed", wa_value_copy(r->changed));
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}
