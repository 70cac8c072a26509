#include "run/revision.h"

#include "run/difference.h"
#include "windassay/digest.h"
#include "windassay/json.h"

#include <string.h>

wa_use wa_revision_use(const wa_campaign *c, const wa_revising *by)
{
    if (by == NULL)
        return c->supersedes;
    /* borrowed texts: whoever takes it frees nothing */
    return (wa_use){.sha256 = (char *)by->sha256, .as = (char *)by->reason};
}

/* ---- what changed --------------------------------------------------------------------------- */

/* A copy of a map without some keys; one of them may come back under another name. */
static wa_value *without(const wa_value *map, const char *const *keys)
{
    wa_value *copy = wa_map();
    for (size_t i = 0; i < wa_count(map) && copy != NULL; i++) {
        bool left_out = false;
        for (size_t k = 0; keys[k] != NULL; k++)
            left_out = left_out || strcmp(wa_key(map, i), keys[k]) == 0;
        if (!left_out && !wa_map_set(copy, wa_key(map, i), wa_value_copy(wa_at(map, i)))) {
            wa_value_free(copy);
            return NULL;
        }
    }
    return copy;
}

/* Requirements go by their name alone: the set that limits them is one of the things that change. */
static wa_value *reduce_rows(const wa_value *rows)
{
    static const char *const left_out[] = {
        "criteria", "use", "limit_source", "evidence", "source", "probability_of_conformity", NULL};
    wa_value *list = wa_list();
    bool good = list != NULL;
    for (size_t i = 0; i < wa_count(rows) && good; i++) {
        const char *set = wa_get_string(wa_at(rows, i), "criteria");
        wa_value *row = without(wa_at(rows, i), left_out);
        if (set != NULL && !wa_map_set(row, "limits of", wa_string(set))) {
            wa_value_free(row);
            row = NULL;
        }
        good = wa_list_add(list, row);
    }
    if (!good) {
        wa_value_free(list);
        return NULL;
    }
    return list;
}

/* What a report is replaced for: parameters, requirements and values of each check, outcomes. */
static wa_value *reduce(const wa_value *record)
{
    static const char *const kept[] = {"id", "parameters", "values", "outcome"};
    wa_value *v = wa_map(), *checks = wa_list();
    const wa_value *all = wa_get(record, "checks");
    bool good = checks != NULL;
    for (size_t i = 0; i < wa_count(all) && good; i++) {
        const wa_value *entry = wa_at(all, i);
        wa_value *c = wa_map();
        good = c != NULL;
        for (size_t k = 0; k < sizeof kept / sizeof *kept && good; k++)
            if (wa_get(entry, kept[k]) != NULL)
                good = wa_map_set(c, kept[k], wa_value_copy(wa_get(entry, kept[k])));
        good = good && wa_map_set(c, "requirements", reduce_rows(wa_get(entry, "requirements")));
        if (!good) {
            wa_value_free(c);
            c = NULL;
        }
        good = wa_list_add(checks, c);
    }
    good = wa_map_set(v, "outcome", wa_value_copy(wa_get(record, "outcome"))) && good;
    good = wa_map_set(v, "checks", checks) && good;
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

/* What stands for a check or a requirement that was there on one side alone: what it came to. */
static wa_value *shorten(const wa_value *v)
{
    static const char *const kept[] = {"value", "unit", "u", "limits", "outcome"};
    if (wa_value_kind(v) != WA_MAP || wa_get(v, "outcome") == NULL)
        return wa_value_copy(v);
    wa_value *m = wa_map();
    for (size_t i = 0; i < sizeof kept / sizeof *kept && m != NULL; i++)
        if (wa_get(v, kept[i]) != NULL &&
            !wa_map_set(m, kept[i], wa_value_copy(wa_get(v, kept[i])))) {
            wa_value_free(m);
            return NULL;
        }
    return m;
}

static wa_value *change_of(const wa_value *difference)
{
    static const char *const distances[] = {"relative", "ulps", "before", "after", NULL};
    static const char *const sides[] = {"before", "after"};
    wa_value *v = without(difference, distances);
    const char *place = wa_get_string(v, "place");
    bool good = v != NULL && (place != NULL || wa_get(v, "table") != NULL ||
                              wa_map_set(v, "place", wa_string("the check")));
    for (size_t i = 0; i < 2 && good; i++)
        if (wa_get(difference, sides[i]) != NULL)
            good = wa_map_set(v, sides[i], shorten(wa_get(difference, sides[i])));
    if (good)
        return v;
    wa_value_free(v);
    return NULL;
}

static wa_status list_changes(wa_value *revision, const wa_value *before, const wa_value *after,
                              wa_error *err)
{
    wa_value *x = reduce(before), *y = reduce(after), *list = wa_list();
    wa_differences d = {0};
    wa_status s = x == NULL || y == NULL || list == NULL
                      ? wa_no_memory(err)
                      : wa_differences_begin(&d, WA_REVISION_CHANGES, err);
    if (s == WA_OK)
        s = wa_difference_records(&d, x, y, NULL, err);
    for (size_t i = 0; i < wa_count(d.list) && s == WA_OK; i++)
        if (!wa_list_add(list, change_of(wa_at(d.list, i))))
            s = wa_no_memory(err);
    if (s == WA_OK && !wa_map_set(revision, "changes_all", wa_number((double)d.n)))
        s = wa_no_memory(err);
    if (s == WA_OK) {
        if (!wa_map_set(revision, "changes", list))
            s = wa_no_memory(err);
        list = NULL;
    }
    wa_value_free(list);
    wa_value_free(x);
    wa_value_free(y);
    wa_differences_release(&d);
    return s;
}

/* ---- what is replaced ----------------------------------------------------------------------- */

static bool carry(wa_value *to, const wa_value *from, const char *const *keys)
{
    for (; *keys != NULL; keys++) {
        const wa_value *v = wa_get(from, *keys);
        if (wa_value_kind(v) != WA_NULL && !wa_map_set(to, *keys, wa_value_copy(v)))
            return false;
    }
    return true;
}

static wa_status right_one(const wa_use *u, const wa_text *earlier, wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_status s = wa_sha256_of(digest, wa_text_string(earlier), earlier->length, err);
    if (s != WA_OK || strcmp(digest, u->sha256) == 0)
        return s;
    return wa_fail(err, WA_ERR_DATA,
                   "the record that is replaced has the digest %s, report.supersedes states %s",
                   digest, u->sha256);
}

/* A revision is one more than what it replaces. */
static wa_status follows(const wa_value *record, const wa_value *before, wa_error *err)
{
    double now = 0, then = 0;
    wa_number_of(wa_get(wa_get(wa_get(record, "campaign"), "report"), "revision"), &now);
    bool said =
        wa_number_of(wa_get(wa_get(wa_get(before, "campaign"), "report"), "revision"), &then);
    if (!said || now > then)
        return WA_OK;
    return wa_fail(err, WA_ERR_DATA, "report.revision is %g, and what it replaces is revision %g",
                   now, then);
}

/* The report of what `decide` makes: the next revision, and nobody's yet. */
static wa_status renumber(wa_value *record, const wa_value *before, wa_error *err)
{
    static const char *const left_out[] = {"approved_by", "checked_by", "issued",
                                           "supersedes",  "reason",     NULL};
    wa_value *campaign = wa_get_mutable(record, "campaign");
    const wa_value *was = wa_get(campaign, "report");
    wa_value *report = without(was, left_out);
    double revision = 0;
    wa_number_of(wa_get(wa_get(wa_get(before, "campaign"), "report"), "revision"), &revision);
    bool good = wa_map_set(report, "revision", wa_number(revision + 1)) &&
                wa_map_set(report, "status", wa_string("preliminary"));
    if (!good) {
        wa_value_free(report);
        report = NULL;
    }
    return wa_map_set(campaign, "report", report) ? WA_OK : wa_no_memory(err);
}

static wa_status describe_earlier(wa_value *revision, wa_value *record, const wa_use *u,
                                  bool decided, const wa_text *earlier, wa_error *err)
{
    static const char *const of_report[] = {"number", "revision", NULL};
    static const char *const of_record[] = {"outcome", "sentence", NULL};
    wa_value *before = NULL;
    wa_status s = right_one(u, earlier, err);
    if (s == WA_OK)
        s = wa_json_read(&before, wa_text_string(earlier), earlier->length, "data/result.json",
                         err);
    if (s == WA_OK)
        s = decided ? renumber(record, before, err) : follows(record, before, err);
    if (s == WA_OK && (!wa_map_set(revision, "bytes", wa_number((double)earlier->length)) ||
                       !carry(revision, wa_get(wa_get(before, "campaign"), "report"), of_report) ||
                       !carry(revision, before, of_record)))
        s = wa_no_memory(err);
    if (s == WA_OK)
        s = list_changes(revision, before, record, err);
    wa_value_free(before);
    return s;
}

wa_status wa_revision_add(wa_value *record, const wa_campaign *c, const wa_revising *by,
                          const wa_text *earlier, wa_error *err)
{
    const wa_use u = wa_revision_use(c, by);
    wa_value *v = NULL;
    if (u.sha256 == NULL)
        return WA_OK;
    wa_status s = WA_OK;
    v = wa_map();
    bool good = wa_map_set(v, "supersedes", wa_string(u.sha256)) &&
                wa_map_set(v, "reason", wa_string(u.as)) &&
                (by == NULL || wa_map_set(v, "criteria", wa_string(by->criteria))) &&
                (u.dossier == NULL || wa_map_set(v, "path", wa_string(u.dossier)));
    if (!good)
        s = wa_no_memory(err);
    if (s == WA_OK && earlier->length > 0)
        s = describe_earlier(v, record, &u, by != NULL, earlier, err);
    if (s != WA_OK)
        wa_value_free(v);
    else if (!wa_map_set(record, "revision", v))
        s = wa_no_memory(err);
    return s;
}
