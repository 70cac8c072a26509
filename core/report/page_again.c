/* The appendix: a script in another language that computes the tables by bin again. */
#include "report/again.h"
#include "report/digits.h"
#include "report/page.h"

#include <string.h>

/* ---- which tables ------------------------------------------------------------------------------ */

static const wa_value *named(const wa_value *list, const char *name)
{
    for (size_t i = 0; i < wa_count(list); i++) {
        const char *other = wa_get_string(wa_at(list, i), "name");
        if (other != NULL && strcmp(other, name) == 0)
            return wa_at(list, i);
    }
    return NULL;
}

/* The columns of compare.by_bin, in their order. */
static bool is_comparison(const wa_value *table)
{
    static const char *const names[] = {"centre",         "count",         "days",
                                        "reference mean", "measured mean", "deviation"};
    const wa_value *columns = wa_get(table, "columns");
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const char *name = wa_get_string(wa_at(columns, i), "name");
        if (name == NULL || strcmp(name, names[i]) != 0)
            return false;
    }
    return wa_count(wa_get(table, "rows")) > 0;
}

/* What the script must know of one table by bin. */
typedef struct again {
    const char *check, *reference, *measured, *unit;
    double lowest, width, least;
    size_t bins;
} again;

static const wa_value *comparison_of(const wa_value *tables)
{
    for (size_t i = 0; i < wa_count(tables); i++)
        if (is_comparison(wa_at(tables, i)))
            return wa_at(tables, i);
    return NULL;
}

static bool find(again *a, const wa_value *check)
{
    const wa_value *account = named(wa_get(check, "accounts"), "intervals");
    const wa_value *table = comparison_of(wa_get(check, "tables"));
    const wa_value *parameters = wa_get(check, "parameters"), *rows = wa_get(table, "rows");
    const char *by = wa_get_string(account, "binned_by");
    *a = (again){.check = wa_get_string(check, "id"),
                 .reference = wa_get_string(account, "reference"),
                 .measured = wa_get_string(account, "measured"),
                 .unit = wa_get_string(wa_at(wa_get(table, "columns"), 0), "unit"),
                 .bins = wa_count(rows)};
    return a->check != NULL && a->reference != NULL && a->measured != NULL && a->unit != NULL &&
           by != NULL && strcmp(by, a->reference) == 0 && is_comparison(table) &&
           wa_number_of(wa_at(wa_at(rows, 0), 0), &a->lowest) &&
           wa_number_of(wa_get(named(parameters, "width"), "value"), &a->width) &&
           wa_number_of(wa_get(named(parameters, "at_least"), "value"), &a->least);
}

/* ---- the script -------------------------------------------------------------------------------- */

/* Foreign text as a literal. */
static void add_literal(wa_text *t, const char *text, const char *unit)
{
    wa_text_add_char(t, '"');
    for (const char *c = text; *c != '\0'; c++) {
        if ((unsigned char)*c < 0x20 || *c == 0x7f) {
            wa_text_printf(t, "\\x%02x", (unsigned)*c);
            continue;
        }
        if (*c == '"' || *c == '\\')
            wa_text_add_char(t, '\\');
        wa_text_add_char(t, *c);
    }
    if (unit != NULL && strcmp(unit, "1") != 0)
        wa_text_printf(t, " [%s]", unit);
    wa_text_add_char(t, '"');
}

/* The name of a column of intervals.csv begins with that of its source; the words of a computation
 * never do. */
static bool is_column(const wa_value *record, const char *words)
{
    const wa_value *sources = wa_get(wa_get(record, "campaign"), "sources");
    for (size_t i = 0; i < wa_count(sources); i++) {
        const char *name = wa_get_string(wa_at(sources, i), "name");
        size_t n = name == NULL ? 0 : strlen(name);
        if (n > 0 && strncmp(words, name, n) == 0 && words[n] == '.')
            return true;
    }
    return false;
}

/* What is computed stands in compared.csv. */
static void add_column(wa_text *t, const wa_value *record, const again *a, const char *words,
                       const char *part)
{
    wa_text head = WA_TEXT_INIT;
    wa_text_printf(&head, "%s.%s", a->check, part);
    add_literal(t, is_column(record, words) ? words : wa_text_string(&head), a->unit);
    wa_text_spend(&head, t);
}

bool wa_again_script(wa_text *t, const wa_value *record)
{
    const wa_value *checks = wa_get(record, "checks");
    bool any = false;
    for (size_t i = 0; i < wa_count(checks); i++) {
        again a;
        if (!find(&a, wa_at(checks, i)))
            continue;
        if (!any)
            wa_text_add(t,
                        "import csv\n"
                        "from decimal import Decimal\n"
                        "from math import fsum, sqrt\n"
                        "files = [csv.DictReader(open(f\"data/{name}.csv\", encoding=\"utf-8\"))\n"
                        "         for name in (\"intervals\", \"ledger\", \"compared\")]\n"
                        "rows = [{**i, **l, **c} for i, l, c in zip(*files)]\n"
                        "for check, reference, measured, lowest, width, bins, at_least in [\n");
        any = true;
        wa_text_add(t, "    (");
        add_literal(t, a.check, NULL);
        wa_text_add(t, ", ");
        add_column(t, record, &a, a.reference, "reference");
        wa_text_add(t, ",\n     ");
        add_column(t, record, &a, a.measured, "measured");
        wa_text_add(t, ", \"");
        wa_digits_shortest(t, a.lowest);
        wa_text_add(t, "\", \"");
        wa_digits_shortest(t, a.width);
        wa_text_printf(t, "\", %zu, ", a.bins);
        wa_digits_shortest(t, a.least);
        wa_text_add(t, "),\n");
    }
    if (any)
        wa_text_add(
            t, "]:\n"
               "    xy = [(float(r[reference]), float(r[measured])) for r in rows\n"
               "          if r[check] in (\"used\", \"records only\")]\n"
               "    points, half = [], Decimal(width) / 2\n"
               "    for centre in [Decimal(lowest) + k * Decimal(width) for k in range(bins)]:\n"
               "        low, high = float(centre - half), float(centre + half)\n"
               "        b = [(x, y, y - x) for x, y in xy if low <= x < high]\n"
               "        n, means, sd = len(b), [], []\n"
               "        if n >= at_least:\n"
               "            means = [fsum(column) / n for column in zip(*b)]\n"
               "            points.append(means)\n"
               "        if n > 1 and means:\n"
               "            sd = [sqrt(fsum((d - means[2]) ** 2 for _, _, d in b) / (n - 1))]\n"
               "        print(check, centre, n, *means, *sd, sep=\",\")\n"
               "    for what, p in (\"records in bins\", xy), (\"bin means\", points):\n"
               "        if p:\n"
               "            slope = fsum(x * y for x, y, *_ in p) / fsum(x * x for x, *_ in p)\n"
               "            print(check, \"slope of \" + what, len(p), slope, sep=\",\")\n");
    return any;
}

/* ---- the section ------------------------------------------------------------------------------- */

void wa_page_again(wa_page *p, const wa_text *script)
{
    if (script->length > 0) {
        wa_page_add(
            p,
            "<section id=again>\n<h2>Appendix: the tables by bin computed again</h2>\n"
            "<p>Python with nothing but its standard library, run in the dossier\u2019s folder. It "
            "prints for each check and bin: centre, count, mean of the reference, of what is "
            "measured, of their difference, its standard deviation; at last the slopes of lines "
            "through the origin. It takes from this program which intervals "
            "are used (ledger.csv says why) and their statistics (intervals.csv), nothing "
            "else; columns of compared.csv are those that a check computes itself.</p>\n"
            "<details open><summary>Script</summary>\n<pre id=again-script>");
        for (const char *at = wa_text_string(script); *at != '\0';) {
            size_t n = strcspn(at, "\n");
            wa_text_add_bytes(&p->scratch, at, n);
            wa_page_flush(p);
            wa_page_add(p, "\n");
            at += n + (at[n] == '\n');
        }
        wa_page_add(p, "</pre></details>\n</section>\n");
    }
}
