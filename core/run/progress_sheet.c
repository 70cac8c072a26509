/* progress_sheet.c - the progress of a campaign as tables and sentences. */
#include "run/progress.h"
#include "run/sheet.h"

#include "windassay/text.h"
#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static double number(const wa_value *map, const char *key)
{
    double x = (double)NAN;
    wa_number_of(wa_get(map, key), &x);
    return x;
}

static bool flag(const wa_value *map, const char *key)
{
    return wa_true(wa_get(map, key));
}

/* Days as people say them: tenths below ten, whole ones up to 999. */
static void days_text(char *to, size_t size, double days)
{
    if (days > 999)
        snprintf(to, size, "more than 999");
    else
        snprintf(to, size, days < 9.95 ? "%.1f" : "%.0f", days);
}

static void show_forecast(wa_sheet *s, const wa_value *row)
{
    static const char *const keys[] = {"middle", "low", "high"};
    const wa_value *f = wa_get(row, "forecast");
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        char text[40] = "";
        if (f != NULL)
            days_text(text, sizeof text, number(f, keys[i]));
        wa_sheet_text(s, f != NULL ? text : i == 0 ? wa_get_string(row, "no_forecast") : NULL);
    }
}

/* ---- tables -------------------------------------------------------------------------------- */

static void show_sources(wa_sheet *s, const wa_value *progress)
{
    static const char *const heads[] = {"expected", "read", "dropped"};
    const wa_value *list = wa_get(progress, "sources");
    wa_sheet_table(s, "samples so far");
    wa_sheet_column(s, "source", NULL);
    wa_sheet_column(s, "beam", NULL);
    wa_sheet_column(s, "range", "m");
    wa_sheet_column(s, "data until, UTC", NULL);
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        wa_sheet_column(s, heads[i], NULL);
    wa_sheet_column(s, "read of expected", "%");
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *v = wa_at(list, i);
        double expected = number(v, "expected");
        wa_sheet_row(s);
        wa_sheet_text(s, wa_get_string(v, "source"));
        wa_sheet_number(s, number(v, "beam"));
        wa_sheet_number(s, number(v, "range"));
        wa_sheet_text(s, wa_get_string(v, "until"));
        for (size_t k = 0; k < sizeof heads / sizeof *heads; k++)
            wa_sheet_number(s, number(v, heads[k]));
        wa_sheet_number(s, expected > 0 ? 100 * number(v, "read") / expected : (double)NAN);
    }
}

static size_t filled_of(const wa_value *check, size_t *all)
{
    size_t filled = 0;
    const wa_value *list = wa_get(check, "coverage");
    *all = 0;
    for (size_t i = 0; i < wa_count(list); i++) {
        const wa_value *rows = wa_get(wa_at(list, i), "rows");
        for (size_t k = 0; k < wa_count(rows); k++) {
            if (wa_get(wa_at(rows, k), "centre") == NULL)
                continue;
            ++*all;
            filled += !(number(wa_at(rows, k), "missing") > 0);
        }
    }
    return filled;
}

static void show_checks(wa_sheet *s, const wa_value *progress)
{
    static const char *const heads[] = {"id", "waited for", "state"};
    const wa_value *checks = wa_get(progress, "checks");
    wa_sheet_table(s, "checks");
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++)
        wa_sheet_column(s, heads[i], NULL);
    wa_sheet_column(s, "used", "h");
    wa_sheet_column(s, "bins filled", NULL);
    wa_sheet_column(s, "what is missing", NULL);
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *c = wa_at(checks, i);
        size_t all, filled = filled_of(c, &all);
        char bins[40];
        snprintf(bins, sizeof bins, "%zu of %zu", filled, all);
        wa_sheet_row(s);
        wa_sheet_text(s, wa_get_string(c, "id"));
        wa_sheet_text(s, flag(c, "waited_for") ? "yes" : "no");
        wa_sheet_text(s, wa_get_string(c, "state"));
        wa_sheet_number(s, floor(number(c, "hours_used") * 10 + 0.5) / 10);
        wa_sheet_text(s, all > 0 ? bins : NULL);
        wa_sheet_text(s, wa_get_string(c, "reason"));
    }
}

/* The check before it that needs the same and has the same: its table says all. */
static const char *same_before(const wa_value *checks, size_t i)
{
    const wa_value *own = wa_get(wa_at(checks, i), "coverage");
    for (size_t k = 0; k < i; k++) {
        const wa_value *c = wa_at(checks, k);
        if (flag(c, "waited_for") && wa_value_equal(wa_get(c, "coverage"), own))
            return wa_get_string(c, "id");
    }
    return NULL;
}

static void show_rows(wa_sheet *s, const wa_value *coverage)
{
    const wa_value *rows = wa_get(coverage, "rows");
    for (size_t i = 0; i < wa_count(rows); i++) {
        const wa_value *row = wa_at(rows, i);
        wa_sheet_row(s);
        wa_sheet_text(s, wa_get_string(coverage, "name"));
        wa_sheet_number(s, number(row, "centre"));
        wa_sheet_text(s, wa_get_string(coverage, "unit"));
        wa_sheet_number(s, floor(number(row, "have") * 10 + 0.5) / 10);
        wa_sheet_number(s, number(coverage, "needed"));
        wa_sheet_number(s, ceil(number(row, "missing") * 10 - 1e-6) / 10);
        wa_sheet_number(s, number(row, "days"));
        show_forecast(s, row);
    }
}

static void show_coverage(wa_sheet *s, const wa_value *progress)
{
    static const char *const heads[] = {
        "what",           "bin centre",       "unit", "have", "needed", "missing",
        "days with some", "more days: about", "from", "to"};
    const wa_value *checks = wa_get(progress, "checks");
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *c = wa_at(checks, i), *list = wa_get(c, "coverage");
        const char *id = wa_get_string(c, "id");
        if (!flag(c, "waited_for") || wa_count(list) == 0)
            continue;
        const char *same = same_before(checks, i);
        if (same != NULL) {
            wa_sheet_note(s, "%s needs and has the same as %s", id, same);
            continue;
        }
        wa_sheet_table(s, id);
        for (size_t k = 0; k < sizeof heads / sizeof *heads; k++)
            wa_sheet_column(s, heads[k], NULL);
        for (size_t k = 0; k < wa_count(list); k++)
            show_rows(s, wa_at(list, k));
    }
}

/* ---- sentences ----------------------------------------------------------------------------- */

static void say_forecast(wa_sheet *s, const wa_value *f, double left, bool part)
{
    char low[40], middle[40], high[40];
    days_text(low, sizeof low, number(f, "low"));
    days_text(middle, sizeof middle, number(f, "middle"));
    days_text(high, sizeof high, number(f, "high"));
    wa_sheet_note(s,
                  "forecast: %s in about %s more days; in %.0f of 100 cases between %s and %s "
                  "more days",
                  part ? "the rest is there" : "everything is there", middle,
                  100 * number(f, "probability"), low, high);
    if (number(f, "high") > left)
        wa_sheet_note(s,
                      "the period ends in %.1f days: %s. It may be extended (period.to and "
                      "period.extended, with the reason), and the report will say so",
                      left,
                      number(f, "low") > left      ? "that is too early"
                      : number(f, "middle") > left ? "that is probably too early"
                                                   : "that may be too early");
    wa_sheet_note(s, "how sure that is: it waits for the slowest of what is missing; it takes the "
                     "weather so far for a sample of the weather to come, one day independent of "
                     "the next, and the records of a day as spells. Calm or wind that lasts for "
                     "days makes it less sure than the numbers say");
}

/* A phase that ends before the period does, and still waits. */
static void say_phases(wa_sheet *s, const wa_value *progress)
{
    const wa_value *checks = wa_get(progress, "checks");
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *c = wa_at(checks, i);
        const char *state = wa_get_string(c, "state");
        double left = number(c, "days_left");
        if (flag(c, "waited_for") && strcmp(state, "more needed") == 0 && left > 0 &&
            left < number(progress, "days_left"))
            wa_sheet_note(s, "%s waits, and its time ends in %.1f days", wa_get_string(c, "id"),
                          left);
    }
}

static void say_unknown(wa_sheet *s, const wa_value *unknowns)
{
    enum { SHOWN = 5 };
    size_t n = wa_count(unknowns);
    if (n == 0)
        return;
    wa_sheet_note(s, "%zu of what is missing %s no forecast:", n, n == 1 ? "has" : "have");
    for (size_t i = 0; i < n && i < SHOWN; i++)
        wa_sheet_note(s, "  %s", wa_string_of(wa_at(unknowns, i)));
    if (n > SHOWN)
        wa_sheet_note(s, "  and %zu more", n - SHOWN);
}

static void say(wa_sheet *s, const wa_value *progress)
{
    const wa_value *torn = wa_get(progress, "left_out"), *f = wa_get(progress, "forecast");
    double left = number(progress, "days_left");
    wa_sheet_note(s, "data of every source reach to %s: %.1f days of the period, %.1f are left",
                  wa_get_string(progress, "until"), number(progress, "days"), left);
    for (size_t i = 0; i < wa_count(torn); i++)
        wa_sheet_note(s,
                      "%s:%.0f: the last row has no line end and was left out: it may still be "
                      "being written (`run` takes whole files only)",
                      wa_get_string(wa_at(torn, i), "path"), number(wa_at(torn, i), "line"));
    if (flag(progress, "enough"))
        wa_sheet_note(s,
                      "there are enough data to decide by. The period ends at %s: `run` decides it "
                      "then",
                      wa_get_string(progress, "to"));
    else
        wa_sheet_note(s, "not yet enough to decide by");
    const wa_value *unknowns = wa_get(progress, "no_forecast");
    say_unknown(s, unknowns);
    if (f != NULL)
        say_forecast(s, f, left, wa_count(unknowns) > 0);
    say_phases(s, progress);
    if (wa_get(progress, "record") == NULL)
        wa_sheet_note(s, "deviations and outcomes are not shown: who watches them is tempted to "
                         "stop when they please");
    else
        wa_sheet_note(s, "the outcome so far follows. It is not the result: a campaign that is "
                         "stopped when it pleases proves nothing, and the period that was agreed "
                         "stands in the report");
}

wa_status wa_progress_sheet(wa_value **record, const wa_value *progress, wa_error *err)
{
    wa_sheet s = wa_sheet_begin();
    show_sources(&s, progress);
    show_checks(&s, progress);
    show_coverage(&s, progress);
    say(&s, progress);
    return wa_sheet_end(record, &s, wa_get_string(progress, "title"), err);
}
