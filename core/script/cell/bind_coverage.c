/* bind_coverage.c - report:coverage: how much data a check needs before anything can be decided by
 * it. What is short makes the check inconclusive. Where the job asks (`progress` does), the parent
 * also gets how many records came on each day, from which it tells how long the rest may take. */
#include "script/cell/grid.h"
#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_MOST = 10000, SHORT_MOST = 4000 };

/** What the script asked for. */
typedef struct asked {
    const char *name;
    const wa_column *records; /* those that count: what is not missing               */
    const wa_bins *bins;      /* NULL: all of them together                          */
    double at_least;          /* records, in all or in each bin                      */
    double hours;             /* or hours of them; only without bins                 */
    bool by_hours;
} asked;

static bool counts(const asked *a, size_t i)
{
    return !isnan(a->records->at[i]);
}

static double have(const asked *a)
{
    size_t n = 0;
    for (size_t i = 0; i < a->records->n; i++)
        n += counts(a, i);
    return (double)n;
}

static void read_options(lua_State *L, asked *a)
{
    static const char *const options[] = {"records", "bins", "at_least", "hours", NULL};
    static const char usage[] = "{ records = column, hours = 180 }, { records = column, at_least = "
                                "600 } or { records = column, bins = bins }";
    cell_options(L, 3, "report:coverage", options);
    if (cell_option(L, 3, "records") == LUA_TNIL)
        cell_fail_hint(L, usage, "report:coverage: '%s': which records count?", a->name);
    a->records = cell_check_column(L, -1, "report:coverage: records");
    if (cell_option(L, 3, "bins") != LUA_TNIL) {
        a->bins = cell_test_bins(L, -1);
        if (a->bins == NULL)
            cell_fail_hint(L, usage, "report:coverage: '%s': bins: expected bins, got %s", a->name,
                           cell_type_name(L, -1));
        if (a->bins->records != a->records->n)
            cell_fail(L,
                      "report:coverage: '%s': the bins were made from %zu records, the column has "
                      "%zu",
                      a->name, a->bins->records, a->records->n);
        if (a->bins->n > ROWS_MOST)
            cell_fail(L, "report:coverage: '%s': more than %d bins", a->name, ROWS_MOST);
    }
    bool number = cell_option_number(L, 3, "at_least", &a->at_least);
    a->by_hours = cell_option_number(L, 3, "hours", &a->hours);
    if ((a->bins != NULL) + number + a->by_hours != 1)
        cell_fail_hint(L, usage, "report:coverage: '%s': needs one of bins, at_least, hours",
                       a->name);
    if ((number && !(a->at_least >= 0)) || (a->by_hours && !(a->hours >= 0)))
        cell_fail(L, "report:coverage: '%s': less than nothing cannot be needed", a->name);
    if (a->bins != NULL)
        a->at_least = (double)a->bins->at_least;
}

/* ---- what is short ------------------------------------------------------------------------- */

static void judge_bins(cell_state *cell, const asked *a)
{
    char centres[SHORT_MOST] = "", reason[SHORT_MOST + 200];
    size_t n = 0, used = 0;
    for (size_t k = 0; k < a->bins->n; k++) {
        if (a->bins->complete[k])
            continue;
        n++;
        if (used < sizeof centres - 40)
            used += (size_t)snprintf(centres + used, sizeof centres - used, "%s%g",
                                     used > 0 ? ", " : "", a->bins->centre[k]);
    }
    if (n == 0)
        return;
    snprintf(reason, sizeof reason, "fewer than %g records in %zu of %zu bins, centred at %s",
             a->at_least, n, a->bins->n, centres);
    cell_add_undecided(cell, reason);
}

static void judge(cell_state *cell, const asked *a, double interval_s)
{
    char reason[100];
    double n = have(a), hours = n * interval_s / 3600;
    if (a->bins != NULL)
        judge_bins(cell, a);
    else if (a->by_hours && hours < a->hours)
        snprintf(reason, sizeof reason, "%.1f h of data, %g h needed", hours, a->hours);
    else if (!a->by_hours && n < a->at_least)
        snprintf(reason, sizeof reason, "%.0f records, %g needed", n, a->at_least);
    else
        return;
    if (a->bins == NULL)
        cell_add_undecided(cell, reason);
}

/* ---- what came when ------------------------------------------------------------------------ */

/* Records of bin k (or of all) by days of 24 h from the start of the grid. */
static wa_value *by_day(lua_State *L, const asked *a, const cell_grid *g, size_t k, double *count,
                        size_t days)
{
    memset(count, 0, days * sizeof *count);
    size_t from = a->bins == NULL ? 0 : a->bins->start[k];
    size_t to = a->bins == NULL ? a->records->n : a->bins->start[k + 1];
    for (size_t j = from; j < to; j++) {
        size_t i = a->bins == NULL ? j : a->bins->order[j];
        double day = floor((a->records->time[i] - (double)g->from) / 86400);
        if (counts(a, i) && day >= 0 && day < (double)days)
            count[(size_t)day] += 1;
    }
    wa_value *list = wa_list();
    for (size_t d = 0; d < days; d++)
        if (!wa_list_add(list, wa_number(count[d])))
            cell_end_limit(L, "memory");
    return list;
}

static void tell(lua_State *L, const asked *a, const cell_grid *g)
{
    size_t days = (size_t)ceil((double)g->n * g->interval_s / 86400);
    size_t n = a->bins == NULL ? 1 : a->bins->n;
    cell_charge(L, 8 * (n * days + a->records->n));
    double *count = lua_newuserdatauv(L, (days + 1) * sizeof *count, 0);
    wa_value *v = wa_map(), *rows = wa_list();
    cell_value_set(L, v, "name", wa_string(a->name));
    cell_value_set(L, v, "unit", wa_string(a->by_hours ? "h" : "records"));
    cell_value_set(L, v, "each", wa_number(a->by_hours ? g->interval_s / 3600 : 1));
    cell_value_set(L, v, "needed", wa_number(a->by_hours ? a->hours : a->at_least));
    for (size_t k = 0; k < n; k++) {
        wa_value *row = wa_map();
        if (a->bins != NULL)
            cell_value_set(L, row, "centre", wa_number(a->bins->centre[k]));
        cell_value_set(L, row, "days", by_day(L, a, g, k, count, days));
        if (!wa_list_add(rows, row))
            cell_end_limit(L, "memory");
    }
    cell_value_set(L, v, "rows", rows);
    cell_report_add(L, "coverage", v);
}

/* report:coverage(name, { records = column, hours = | at_least = | bins = }) */
int cell_report_coverage(lua_State *L)
{
    const cell_state *cell = cell_of(L);
    asked a = {.name = cell_report_name(L, "report:coverage", "")}; /* may stand again */
    read_options(L, &a);
    if (cell->grid == NULL)
        return cell_fail(L, "report:coverage: a free script has no campaign to cover");
    if (a.records->time == NULL)
        return cell_fail(L, "report:coverage: '%s': the records have no times", a.name);
    cell_charge(L, 4 * a.records->n);
    judge(cell_of(L), &a, cell->grid->interval_s);
    if (wa_get(cell->job, "coverage") != NULL)
        tell(L, &a, cell->grid);
    return 0;
}
