/* The record on a terminal: the outcome in words first, then each check. */
#include "windassay/report.h"

#include "report/agreement.h"
#include "report/digits.h"
#include "report/facts.h"
#include "report/grid.h"
#include "report/markup.h"
#include "report/revision.h"
#include "report/screen.h"
#include "report/words.h"

#include <string.h>

/* The unit; nothing for a pure number. */
static void put_unit(wa_screen *s, wa_grid *g, const wa_value *v)
{
    const char *unit = wa_get_string(v, "unit");
    wa_plain_unit(&s->cell, unit != NULL && strcmp(unit, "1") != 0 ? unit : "");
    wa_screen_put(s, g);
}

/* A line below the table: "NAME: WORDS TEXT". */
static void remark(wa_screen *s, const wa_value *r, const char *words, const char *key)
{
    wa_text_add(s->out, "  ");
    wa_screen_say_value(s, wa_get(r, "name"));
    wa_text_add(s->out, words);
    wa_screen_say_value(s, wa_get(r, key));
    wa_text_add(s->out, "\n");
}

/* Whether an entry before `i` has the same name and the same text under `key`. */
static bool said_before(const wa_value *list, size_t i, const char *key, bool name_too)
{
    const wa_value *r = wa_at(list, i);
    for (size_t k = 0; k < i; k++) {
        const wa_value *e = wa_at(list, k);
        if (wa_value_equal(wa_get(e, key), wa_get(r, key)) &&
            (!name_too || wa_value_equal(wa_get(e, "name"), wa_get(r, "name"))))
            return true;
    }
    return false;
}

/* What an uncertainty leaves out; behind the names of those that it is said of, where it is not
 * said of all. */
static void scatter(wa_screen *s, const wa_value *list, size_t i)
{
    const wa_value *r = wa_at(list, i), *text = wa_get(r, "scatter_only");
    wa_text safe = WA_TEXT_INIT;
    const char *before = "";
    bool all = true;
    for (size_t k = 0; k < wa_count(list); k++)
        all &= wa_value_equal(wa_get(wa_at(list, k), "scatter_only"), text);
    wa_text_add(s->out, all ? "  u" : "  u of ");
    for (size_t k = i; !all && k < wa_count(list); k++) {
        const wa_value *e = wa_at(list, k);
        if (!wa_value_equal(wa_get(e, "scatter_only"), text) || said_before(list, k, "name", false))
            continue;
        wa_text_add(s->out, before);
        wa_screen_say_value(s, wa_get(e, "name"));
        before = ", ";
    }
    wa_facts_scatter(&s->cell, r);
    wa_screen_make_safe(s, &safe);
    wa_text_add(s->out, ": ");
    wa_text_add(s->out, wa_text_string(&safe));
    wa_text_add(s->out, "\n");
    wa_text_spend(&safe, s->out);
}

/* What stands below the table: why a value is undefined, what an uncertainty leaves out, and
 * limits that nobody has looked up; each said once, and not what the check says of itself. */
static void remarks(wa_screen *s, const wa_value *list, const wa_value *reason)
{
    bool recalled = false, information = false;
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *r = wa_at(list, i);
        recalled |= wa_words_recalled(r);
        information |= wa_get_string(r, "criteria") != NULL && !wa_facts_decides(r);
    }
    if (information)
        wa_text_add(s->out, "  * for information, these limits decide nothing\n");
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *r = wa_at(list, i);
        if (wa_get_string(r, "reason") != NULL && !wa_value_equal(wa_get(r, "reason"), reason) &&
            !said_before(list, i, "reason", true))
            remark(s, r, ": ", "reason");
        if (wa_get_string(r, "scatter_only") != NULL &&
            !said_before(list, i, "scatter_only", false))
            scatter(s, list, i);
    }
    if (!recalled)
        return;
    wa_text_add(s->out, "  some limits are recalled, check your copy of the standard:\n");
    for (size_t i = 0; i < wa_count(list); i++)
        if (wa_words_recalled(wa_at(list, i)) && !said_before(list, i, "limit_source", false)) {
            wa_text_add(s->out, "    ");
            wa_screen_say_value(s, wa_get(wa_at(list, i), "limit_source"));
            wa_text_add(s->out, "\n");
        }
}

/* The simple rule is said once, below the table. */
static bool all_simple(const wa_value *list)
{
    for (size_t i = 0; i < wa_count(list); i++) {
        const char *rule = wa_get_string(wa_at(list, i), "rule");
        if (rule != NULL && strcmp(rule, "simple") != 0)
            return false;
    }
    return true;
}

static bool any_rule(const wa_value *list)
{
    for (size_t i = 0; i < wa_count(list); i++)
        if (wa_get_string(wa_at(list, i), "rule") != NULL)
            return true;
    return false;
}

static wa_status requirements(wa_screen *s, const wa_value *check, wa_error *err)
{
    const wa_value *list = wa_get(check, "requirements");
    if (wa_count(list) == 0)
        return WA_OK;
    wa_status status = wa_screen_requirements(s, list, err);
    if (status == WA_OK && all_simple(list) && any_rule(list))
        wa_text_add(s->out, "  rule: simple acceptance, without a guard band\n");
    if (status == WA_OK)
        remarks(s, list, wa_get(check, "reason"));
    return status;
}

static wa_status exclusions(wa_screen *s, const wa_value *check, wa_error *err)
{
    const wa_value *list = wa_get(check, "exclusions"), *accounts = wa_get(check, "accounts");
    static const char *const counts[] = {"intervals", "only", "unknown", "left"};
    if (wa_count(list) > 0) {
        wa_text_add(s->out, "\n  exclusions, in order\n");
        wa_grid *g = wa_grid_new(s->how);
        wa_grid_head(g, "reason", WA_GRID_WRAP);
        for (int k = 0; k < 4; k++)
            wa_grid_head(g, counts[k], WA_GRID_RIGHT);
        for (size_t i = 0; i < wa_count(list); i++) {
            wa_grid_row(g);
            wa_screen_put_text(s, g, wa_get_string(wa_at(list, i), "reason"));
            for (int k = 0; k < 4; k++) {
                wa_shown_value(&s->cell, wa_get(wa_at(list, i), counts[k]));
                wa_screen_put(s, g);
            }
        }
        wa_status status = wa_screen_finish(s, g, err);
        if (status != WA_OK)
            return status;
    }
    for (size_t i = 0; i < wa_count(accounts); i++) {
        const wa_value *account = wa_at(accounts, i);
        wa_text_add(s->out, "  ");
        if (wa_count(accounts) > 1 && wa_get_string(account, "name") != NULL) {
            wa_screen_say_value(s, wa_get(account, "name"));
            wa_text_add(s->out, ": ");
        }
        wa_text_clear(&s->cell);
        wa_facts_account(&s->cell, account);
        wa_screen_say(s, wa_text_string(&s->cell));
        wa_text_clear(&s->cell);
        wa_text_add(s->out, "\n");
    }
    return WA_OK;
}

/* An error as the program prints one: place first, then what was found and what would be right. */
static void broke(wa_screen *s, const wa_value *error)
{
    double line;
    wa_text_add(s->out, "  ");
    if (wa_get_string(error, "file") != NULL) {
        wa_screen_say_value(s, wa_get(error, "file"));
        if (wa_number_of(wa_get(error, "line"), &line)) {
            wa_text_add(s->out, ":");
            wa_screen_say_value(s, wa_get(error, "line"));
        }
        wa_text_add(s->out, ": ");
    }
    wa_screen_say_value(s, wa_get(error, "message"));
    wa_text_add(s->out, "\n");
    if (wa_get_string(error, "hint") != NULL) {
        wa_text_add(s->out, "    ");
        wa_screen_say_value(s, wa_get(error, "hint"));
        wa_text_add(s->out, "\n");
    }
}

static wa_grid *values_grid(wa_screen *s, const wa_value *list, bool with_remarks)
{
    static const char *const heads[] = {"value", "u (k = 1)", "unit", "remark"};
    wa_grid *g = wa_grid_new(s->how);
    wa_grid_head(g, "name", WA_GRID_LEFT);
    for (int k = 0; k < (with_remarks ? 4 : 3); k++)
        wa_grid_head(g, heads[k], k < 2 ? WA_GRID_RIGHT : WA_GRID_LEFT);
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        double u;
        wa_grid_row(g);
        wa_screen_put_text(s, g, wa_get_string(v, "name"));
        wa_facts_number(&s->cell, v);
        wa_screen_put(s, g);
        if (wa_number_of(wa_get(v, "u"), &u))
            wa_digits_fixed(&s->cell, u, wa_digits_of_u(u));
        wa_screen_put(s, g);
        put_unit(s, g, v);
        if (with_remarks)
            wa_screen_put_text(s, g, wa_get_string(v, "text"));
    }
    return g;
}

/* The values of a check, one a line, with their standard uncertainty; remarks beside them, or
 * below where the terminal has no room. */
static wa_status values(wa_screen *s, const wa_value *check, wa_error *err)
{
    const wa_value *list = wa_get(check, "values");
    size_t room = (size_t)(s->how->width < 40 ? 40 : s->how->width) - 2;
    bool any = false, beside;
    if (wa_count(list) == 0)
        return WA_OK;
    for (size_t i = 0; i < wa_count(list); i++)
        any |= wa_get_string(wa_at(list, i), "text") != NULL;
    wa_text_add(s->out, "\n");
    wa_grid *g = values_grid(s, list, any);
    beside = wa_grid_width(g) <= room;
    if (any && !beside) {
        wa_grid_free(g);
        g = values_grid(s, list, false);
    }
    wa_status status = wa_screen_finish(s, g, err);
    for (size_t i = 0; status == WA_OK && any && !beside && i < wa_count(list); i++)
        if (wa_get_string(wa_at(list, i), "text") != NULL)
            remark(s, wa_at(list, i), ": ", "text");
    return status;
}

static wa_status tables(wa_screen *s, const wa_value *check, wa_error *err)
{
    const wa_value *list = wa_get(check, "tables");
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < wa_count(list); i++) {
        wa_text_clear(&s->cell);
        status = wa_screen_table(s, wa_at(list, i), err);
    }
    return status;
}

static void notes(wa_screen *s, const wa_value *check)
{
    const wa_value *list = wa_get(check, "notes");
    for (size_t i = 0; i < wa_count(list); i++) {
        wa_text_add(s->out, "  note: ");
        wa_screen_say_value(s, wa_at(list, i));
        wa_text_add(s->out, "\n");
    }
}

static void stability(wa_screen *s, const wa_value *check)
{
    const wa_value *sentence = wa_get(wa_get(check, "stability"), "sentence");
    if (sentence == NULL)
        return;
    wa_text_add(s->out, "  stability: ");
    wa_screen_say_value(s, sentence);
    wa_text_add(s->out, "\n");
}

static wa_status check_section(wa_screen *s, const wa_value *checks, const wa_value *check,
                               wa_error *err)
{
    wa_text_add(s->out, "\n");
    wa_screen_say_value(s, wa_get(check, "id"));
    wa_text_add(s->out, ": ");
    wa_screen_say_value(s, wa_get(check, "title"));
    wa_text_add(s->out, ": ");
    wa_screen_say_word(s, wa_get_string(check, "outcome"));
    wa_text_add(s->out, "\n");
    bool is_broken = wa_value_kind(wa_get(check, "error")) == WA_MAP;
    if (wa_get_string(check, "reason") != NULL && !is_broken) {
        wa_text_add(s->out, "  ");
        wa_screen_say_value(s, wa_get(check, "reason"));
        wa_text_add(s->out, "\n");
    }
    if (is_broken)
        broke(s, wa_get(check, "error"));
    wa_text_clear(&s->cell);
    wa_status status = requirements(s, check, err);
    stability(s, check);
    if (status == WA_OK && wa_facts_asked(checks, check) != NULL) {
        wa_text_add(s->out, "  values and tables of this run: see the report\n");
        return status;
    }
    if (status == WA_OK)
        status = values(s, check, err);
    if (status == WA_OK)
        status = tables(s, check, err);
    if (status == WA_OK)
        status = exclusions(s, check, err);
    if (status == WA_OK)
        notes(s, check);
    return status;
}

/* The end of every screen: scratch given back, memory looked at. */
static wa_status end(wa_screen *s, wa_status status, wa_error *err)
{
    if (wa_text_failed(&s->cell))
        s->out->failed = true;
    wa_text_release(&s->cell);
    if (status == WA_OK && wa_text_failed(s->out))
        status = wa_fail(err, WA_ERR_NOMEM, "memory ran out");
    return status;
}

/* Text that a script printed; line breaks and tabs (print sets them) are kept. */
static void printed(wa_screen *s, const wa_value *check)
{
    const char *at = wa_get_string(check, "printed");
    while (at != NULL && *at != '\0') {
        size_t n = strcspn(at, "\n\t");
        wa_text_clear(&s->cell);
        wa_text_add_shown(&s->cell, at, n);
        wa_screen_say(s, wa_text_string(&s->cell));
        at += n;
        wa_text_add(s->out, *at == '\t' ? "\t" : "\n");
        at += *at != '\0';
    }
    wa_text_clear(&s->cell);
}

wa_status wa_report_terminal_script(wa_text *out, const wa_value *record, const wa_terminal *how,
                                    wa_error *err)
{
    wa_screen s = {.out = out, .how = how, .cell = WA_TEXT_INIT};
    const wa_value *checks = wa_get(record, "checks");
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < wa_count(checks); i++) {
        const wa_value *check = wa_at(checks, i);
        printed(&s, check);
        status = values(&s, check, err);
        if (status == WA_OK)
            status = tables(&s, check, err);
        if (status == WA_OK)
            notes(&s, check);
    }
    return end(&s, status, err);
}

/* Extended until it passes? The end as planned, and each end after it with its reason. */
static void extensions(wa_screen *s, const wa_value *period)
{
    const wa_value *extended = wa_get(period, "extended");
    for (size_t i = 0; i < wa_count(extended); i++) {
        wa_text_add(s->out, i == 0 ? "period: planned to " : "  then");
        if (i == 0)
            wa_screen_say_value(s, wa_get(period, "planned_to"));
        wa_text_add(s->out, i == 0 ? ", extended to " : " to ");
        wa_screen_say_value(s, wa_get(wa_at(extended, i), "to"));
        wa_text_add(s->out, ": ");
        wa_screen_say_value(s, wa_get(wa_at(extended, i), "reason"));
        wa_text_add(s->out, "\n");
    }
}

wa_status wa_report_terminal(wa_text *out, const wa_value *record, const wa_terminal *how,
                             wa_error *err)
{
    wa_screen s = {.out = out, .how = how, .cell = WA_TEXT_INIT};
    const wa_value *campaign = wa_get(record, "campaign"), *checks = wa_get(record, "checks");
    const wa_value *status_word = wa_get(wa_get(campaign, "report"), "status");
    wa_screen_say_word(&s, wa_get_string(record, "outcome"));
    wa_text_add(out, ": ");
    wa_screen_say_value(&s, wa_get(campaign, "title"));
    wa_text_add(out, "\n");
    wa_screen_say_value(&s, wa_get(record, "sentence"));
    wa_text_add(out, "\n");
    if (wa_string_of(status_word) != NULL) {
        wa_text_add(out, "status of the report: ");
        wa_screen_say_value(&s, status_word);
        wa_text_add(out, "\n");
    }
    extensions(&s, wa_get(campaign, "period"));
    wa_screen_revision(&s, record);
    wa_screen_agreement(&s, record);
    wa_status status = WA_OK;
    for (size_t i = 0; status == WA_OK && i < wa_count(checks); i++)
        status = check_section(&s, checks, wa_at(checks, i), err);
    return end(&s, status, err);
}
