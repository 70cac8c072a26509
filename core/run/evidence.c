#include "run/evidence.h"
#include "run/judged.h"

#include "windassay/calibration.h"
#include "windassay/digest.h"
#include "windassay/json.h"
#include "windassay/report.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

wa_status wa_evidence_add(wa_dossier *d, const char *path, const wa_text *bytes, wa_error *err)
{
    if (wa_text_failed(bytes))
        return wa_no_memory(err);
    return wa_dossier_add(d, path, wa_text_string(bytes), bytes->length, err);
}

static void add_name(wa_text *path, const char *name)
{
    for (; *name != '\0'; name++) {
        char c = *name;
        bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                     c == '-' || c == '_' || c == '.';
        wa_text_add_char(path, plain ? c : c == ':' ? '.' : '_');
    }
}

void wa_evidence_path(wa_text *path, const char *folder, const char *id, const char *name,
                      const char *ending)
{
    wa_text_add(path, folder);
    wa_text_add_char(path, '/');
    add_name(path, id);
    wa_text_add_char(path, '.');
    add_name(path, name);
    wa_text_add(path, ending);
}

const char *wa_evidence_script(wa_text *to, const wa_module *m)
{
    wa_text_clear(to);
    wa_text_add(to, strncmp(m->path, "scripts/", 8) == 0 ? "" : "scripts/");
    wa_text_add(to, m->path);
    return wa_text_string(to);
}

/* ---- the grid and its accounts -------------------------------------------------------------- */

/* Adds a listing; false: there was no memory to make it. */
static wa_status add_listing(wa_dossier *d, const char *path, bool made, wa_listing *listing,
                             wa_error *err)
{
    return made ? wa_dossier_add_listing(d, path, listing, err) : wa_no_memory(err);
}

static wa_status add_records(wa_dossier *d, const wa_campaign *c, const wa_records *r,
                             wa_error *err)
{
    wa_listing l;
    wa_text inputs = WA_TEXT_INIT;
    wa_status s = add_listing(d, "intervals.csv", wa_records_list_intervals(&l, r, c), &l, err);
    if (s == WA_OK)
        s = add_listing(d, "samples.csv", wa_records_list_samples(&l, r, c), &l, err);
    if (s == WA_OK)
        s = wa_records_write_inputs(r, c, &inputs) ? wa_evidence_add(d, "inputs.csv", &inputs, err)
                                                   : wa_no_memory(err);
    wa_text_release(&inputs);
    return s;
}

static wa_status add_ledger(wa_dossier *d, const wa_agenda *agenda, const wa_records *records,
                            const wa_ledger *ledgers, wa_error *err)
{
    size_t n = 0;
    for (size_t i = 0; i < agenda->n_checks; i++)
        n += ledgers[i].accounts.n;
    wa_ledger_column *columns = calloc(n + 1, sizeof *columns);
    if (columns == NULL)
        return wa_no_memory(err);
    size_t at = 0;
    for (size_t i = 0; i < agenda->n_checks; i++)
        for (size_t k = 0; k < ledgers[i].accounts.n; k++)
            columns[at++] = (wa_ledger_column){ledgers[i].titles[k], ledgers[i].accounts.at[k]};
    wa_listing l;
    wa_text reasons = WA_TEXT_INIT;
    bool made = wa_ledger_list(&l, records->from, records->interval_ns, records->n, columns, n);
    wa_status s = add_listing(d, "ledger.csv", made, &l, err);
    if (s == WA_OK)
        s = wa_reasons_write(&reasons, columns, n)
                ? wa_evidence_add(d, "reasons.csv", &reasons, err)
                : wa_no_memory(err);
    wa_text_release(&reasons);
    free(columns);
    return s;
}

/* The numbers behind the accounts. */
static wa_status add_judged(wa_dossier *d, const wa_agenda *agenda, const wa_records *records,
                            const wa_ledger *ledgers, wa_error *err)
{
    wa_listing l;
    wa_status s =
        add_listing(d, "judged.csv", wa_judged_list(&l, records, agenda, ledgers), &l, err);
    if (s == WA_OK)
        s = add_listing(d, "compared.csv", wa_compared_list(&l, records, agenda, ledgers), &l, err);
    return s;
}

/* ---- tables --------------------------------------------------------------------------------- */

static wa_status add_table(wa_dossier *d, const char *id, const char *name, const wa_value *table,
                           wa_error *err)
{
    wa_text path = WA_TEXT_INIT, csv = WA_TEXT_INIT;
    wa_evidence_path(&path, "tables", id, name, ".csv");
    wa_status s = wa_report_table_csv(&csv, table, err);
    if (s == WA_OK && wa_text_failed(&path))
        s = wa_no_memory(err);
    if (s == WA_OK)
        s = wa_evidence_add(d, wa_text_string(&path), &csv, err);
    wa_text_release(&path);
    wa_text_release(&csv);
    return s;
}

static wa_value *column(const char *name)
{
    wa_value *c = wa_map();
    if (!wa_map_set(c, "name", wa_string(name))) {
        wa_value_free(c);
        return NULL;
    }
    return c;
}

static bool add_cell(wa_value *row, const wa_value *item)
{
    return wa_list_add(row, item == NULL ? wa_null() : wa_value_copy(item));
}

/* The values of a check as a table: name, value, unit, u. */
static wa_value *values_table(const wa_value *values)
{
    static const char *const NAMES[] = {"name", "value", "unit", "u"};
    wa_value *table = wa_map(), *columns = wa_list(), *rows = wa_list();
    bool good = columns != NULL && rows != NULL;
    for (size_t i = 0; i < 4 && good; i++)
        good = wa_list_add(columns, column(NAMES[i]));
    for (size_t i = 0; i < wa_count(values) && good; i++) {
        wa_value *row = wa_list();
        for (size_t k = 0; k < 4 && good; k++)
            good = add_cell(row, wa_get(wa_at(values, i), NAMES[k]));
        good = wa_list_add(rows, row) && good;
    }
    good = wa_map_set(table, "columns", columns) && good;
    good = wa_map_set(table, "rows", rows) && good;
    if (!good) {
        wa_value_free(table);
        return NULL;
    }
    return table;
}

wa_status wa_evidence_tables(wa_dossier *d, const wa_value *entry, wa_error *err)
{
    const char *id = wa_get_string(entry, "id");
    const wa_value *tables = wa_get(entry, "tables"), *values = wa_get(entry, "values");
    wa_status s = WA_OK;
    if (wa_count(values) > 0) {
        wa_value *table = values_table(values);
        s = table == NULL ? wa_no_memory(err) : add_table(d, id, "values", table, err);
        wa_value_free(table);
    }
    for (size_t i = 0; i < wa_count(tables) && s == WA_OK; i++) {
        const wa_value *t = wa_at(tables, i);
        s = add_table(d, id, wa_get_string(t, "name"), t, err);
    }
    return s;
}

/* ---- scripts -------------------------------------------------------------------------------- */

static wa_status add_scripts(wa_dossier *d, const wa_modules *modules, wa_error *err)
{
    wa_text path = WA_TEXT_INIT;
    wa_status s = WA_OK;
    for (size_t i = 0; i < wa_modules_count(modules) && s == WA_OK; i++) {
        const wa_module *m = wa_modules_at(modules, i);
        wa_evidence_script(&path, m);
        s = wa_text_failed(&path)
                ? wa_no_memory(err)
                : wa_dossier_add(d, wa_text_string(&path), m->text, m->length, err);
    }
    wa_text_release(&path);
    return s;
}

/* ---- what was given beside the grid --------------------------------------------------------- */

/* "given/NAME.1a2b3c4d5e6f.ENDING": no two files share a name unless they are the same. */
void wa_evidence_given(wa_text *path, const char *name, const char *sha256, const char *ending)
{
    char digest[13];
    snprintf(digest, sizeof digest, "%.12s", sha256);
    wa_evidence_path(path, "given", name, digest, ending);
}

static wa_status add_given(wa_dossier *d, const char *name, const char *sha256, const char *ending,
                           const wa_text *bytes, wa_error *err)
{
    wa_text path = WA_TEXT_INIT;
    wa_evidence_given(&path, name, sha256, ending);
    wa_status s = wa_text_failed(&path) ? wa_no_memory(err)
                                        : wa_evidence_add(d, wa_text_string(&path), bytes, err);
    wa_text_release(&path);
    return s;
}

static wa_status add_all_given(wa_dossier *d, const wa_computed *m, wa_error *err)
{
    const wa_campaign *c = m->agenda->campaign;
    wa_status s = WA_OK;
    for (size_t i = 0; i < m->tables.n && s == WA_OK; i++) {
        const wa_named_table *t = &m->tables.at[i];
        size_t length = strlen(t->path);
        bool packed = length > 3 && strcmp(t->path + length - 3, ".gz") == 0;
        s = add_given(d, t->name, t->table->sha256, packed ? ".csv.gz" : ".csv", &t->bytes, err);
    }
    if (s == WA_OK && m->agreement.value != NULL)
        s = add_given(d, WA_GIVEN_AGREEMENT, m->agreement.sha256, ".json", &m->agreement.json, err);
    for (size_t i = 0; i < c->n_uses && s == WA_OK; i++)
        s = add_given(d, c->uses[i].as, c->uses[i].sha256, ".json", &m->uses.json[i], err);
    for (size_t i = 0; i < c->n_calibrations && s == WA_OK; i++)
        s = add_given(d, "calibration", c->calibrations[i].sha256, ".json",
                      &m->calibrations.bytes[i], err);
    if (s == WA_OK && m->superseded.length > 0)
        s = add_given(d, "superseded", wa_revision_use(c, m->from.revising).sha256, ".json",
                      &m->superseded, err);
    return s;
}

/* ---- what later campaigns may take ------------------------------------------------------------ */

wa_status wa_evidence_calibration(wa_dossier *d, const wa_value *record, const wa_text *json,
                                  wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_value *file = NULL;
    wa_text t = WA_TEXT_INIT;
    wa_status s = wa_sha256_of(digest, wa_text_string(json), json->length, err);
    if (s == WA_OK)
        s = wa_calibration_make(&file, record, digest, err);
    if (s == WA_OK && file != NULL)
        s = wa_json_write(&t, file, WA_JSON_READABLE, err);
    if (s == WA_OK && file != NULL)
        s = wa_evidence_add(d, "calibration.json", &t, err);
    wa_value_free(file);
    wa_text_release(&t);
    return s;
}

wa_status wa_evidence_collect(wa_dossier *d, const wa_computed *c, wa_error *err)
{
    const wa_agenda *agenda = c->agenda;
    const wa_records *records = c->records;
    wa_status s = add_records(d, agenda->campaign, records, err);
    if (s == WA_OK)
        s = add_ledger(d, agenda, records, c->ledgers, err);
    if (s == WA_OK)
        s = add_judged(d, agenda, records, c->ledgers, err);
    const wa_value *checks = wa_get(c->record, "checks");
    for (size_t i = 0; i < wa_count(checks) && s == WA_OK; i++)
        s = wa_evidence_tables(d, wa_at(checks, i), err);
    if (s == WA_OK)
        s = add_scripts(d, agenda->modules, err);
    return s == WA_OK ? add_all_given(d, c, err) : s;
}
