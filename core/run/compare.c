/* Two dossiers side by side: parameters, exclusions, results, outcomes. */
#include "run/compare_tables.h"
#include "run/difference.h"
#include "run/rerun.h"
#include "windassay/run.h"

#include <string.h>

enum { DIFFERENCES_MOST = 10000 };

/* ---- both dossiers ----------------------------------------------------------------------------- */

typedef struct side {
    wa_bag *bag;
    wa_value *record;
    const char *sha256;
} side;

static wa_status open_side(side *s, const char *folder, wa_error *err)
{
    wa_error why = {0};
    wa_status status = wa_bag_open(&s->bag, folder, &why);
    if (status == WA_OK)
        status = wa_rerun_record(&s->record, s->bag, &why);
    if (status != WA_OK) {
        if (strcmp(why.file, folder) != 0) /* there are two: which of them? */
            wa_place_inside(&why, status, folder);
        if (err != NULL)
            *err = why;
    }
    for (size_t i = 0; status == WA_OK && i < wa_bag_count(s->bag); i++)
        if (strcmp(wa_bag_path(s->bag, i), "result.json") == 0)
            s->sha256 = wa_bag_sha256(s->bag, i);
    return status;
}

static void close_side(side *s)
{
    wa_value_free(s->record);
    wa_bag_close(s->bag);
}

/* The record without its figures: their points follow from the rest. */
static wa_value *without_figures(const wa_value *record)
{
    wa_value *copy = wa_value_copy(record), *checks = wa_get_mutable(copy, "checks");
    for (size_t i = 0; i < wa_count(checks); i++)
        if (wa_get(wa_at(checks, i), "figures") != NULL &&
            !wa_map_set(wa_at_mutable(checks, i), "figures", wa_list())) {
            wa_value_free(copy);
            return NULL;
        }
    return copy;
}

static wa_value *say_side(const side *s)
{
    wa_value *v = wa_map();
    const wa_value *campaign = wa_get(s->record, "campaign");
    bool good = wa_map_set(v, "sha256", wa_string(s->sha256)) &&
                wa_map_set(v, "title", wa_value_copy(wa_get(campaign, "title"))) &&
                wa_map_set(v, "outcome", wa_value_copy(wa_get(s->record, "outcome")));
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

static wa_status say(wa_compared *out, const side *a, const side *b, wa_error *err)
{
    wa_differences d = {0};
    wa_value *x = without_figures(a->record), *y = without_figures(b->record), *v = wa_map();
    wa_status s = x == NULL || y == NULL || v == NULL
                      ? wa_no_memory(err)
                      : wa_differences_begin(&d, DIFFERENCES_MOST, err);
    if (s == WA_OK)
        s = wa_difference_records(&d, x, y, NULL, err);
    bool good = s == WA_OK && wa_map_set(v, "same", wa_bool(out->same)) &&
                wa_map_set(v, "first", say_side(a)) && wa_map_set(v, "second", say_side(b));
    const wa_value *check = wa_at(wa_get(out->sheet, "checks"), 0);
    good = good && wa_map_set(v, "tables", wa_value_copy(wa_get(check, "tables"))) &&
           wa_map_set(v, "differences", wa_value_copy(d.list)) &&
           wa_map_set(v, "count", wa_number((double)d.n));
    wa_differences_release(&d);
    wa_value_free(x);
    wa_value_free(y);
    if (good) {
        out->value = v;
        return WA_OK;
    }
    wa_value_free(v);
    return s == WA_OK ? wa_no_memory(err) : s;
}

wa_status wa_compare_dossiers(wa_compared *out, const char *first, const char *second, bool all,
                              wa_error *err)
{
    side a = {0}, b = {0};
    wa_compared made = {0};
    wa_status s = open_side(&a, first, err);
    if (s == WA_OK)
        s = open_side(&b, second, err);
    if (s == WA_OK) {
        wa_sheet sheet = wa_sheet_begin();
        made.same = strcmp(a.sha256, b.sha256) == 0;
        wa_compare_tables(&sheet, a.record, b.record, all);
        wa_sheet_note(&sheet, "first: %s, record %.12s...", first, a.sha256);
        wa_sheet_note(&sheet, "second: %s, record %.12s...", second, b.sha256);
        if (made.same)
            wa_sheet_note(&sheet, "the records are the same, byte for byte");
        s = wa_sheet_end(&made.sheet, &sheet, "two dossiers", err);
    }
    if (s == WA_OK)
        s = say(&made, &a, &b, err);
    close_side(&a);
    close_side(&b);
    if (s == WA_OK)
        *out = made;
    else
        wa_compared_release(&made);
    return s;
}

void wa_compared_release(wa_compared *c)
{
    wa_value_free(c->value);
    wa_value_free(c->sheet);
    *c = (wa_compared){0};
}
