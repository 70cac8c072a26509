/* ledger.csv and reasons.csv */
#include "windassay/account.h"
#include "windassay/csv_field.h"

#include <assert.h>
#include <stdlib.h>

static void add_codes(wa_text *out, const wa_account *a, size_t i)
{
    size_t written = 0;
    for (size_t k = 0; k < a->n_exclusions; k++) {
        const wa_exclusion *e = &a->exclusions[k];
        if (e->mask[i] == 0 || (e->mask[i] == 2 && e->keep_unknown))
            continue;
        if (written++ > 0)
            wa_text_add_char(out, '+');
        wa_text_add(out, e->code);
        if (e->mask[i] == 2)
            wa_text_add_char(out, '?');
    }
}

typedef struct ledger {
    size_t n;
    wa_ledger_column columns[];
} ledger;

static void add_cells(const void *context, size_t i, wa_text *out)
{
    const ledger *l = context;
    for (size_t c = 0; c < l->n; c++) {
        const wa_account *a = l->columns[c].account;
        const char *word = wa_state_word(a->states[i]);
        wa_text_add_char(out, ',');
        if (word != NULL)
            wa_text_add(out, word);
        else
            add_codes(out, a, i);
    }
}

bool wa_ledger_list(wa_listing *out, int64_t from, int64_t interval_ns, size_t n,
                    const wa_ledger_column *columns, size_t n_columns)
{
    wa_text names = WA_TEXT_INIT;
    ledger *l = malloc(sizeof *l + n_columns * sizeof *l->columns);
    if (l == NULL)
        return false;
    l->n = n_columns;
    for (size_t c = 0; c < n_columns; c++) {
        assert(columns[c].account->states != NULL && columns[c].account->n == n);
        l->columns[c] = columns[c];
        wa_text_add_char(&names, ',');
        wa_csv_add(&names, columns[c].title);
    }
    if (wa_text_failed(&names)) {
        wa_text_release(&names);
        free(l);
        return false;
    }
    *out = (wa_listing){from, interval_ns, n, names, add_cells, free, l};
    return true;
}

bool wa_reasons_write(wa_text *out, const wa_ledger_column *columns, size_t n_columns)
{
    wa_text_add(out, "account,code,reason,intervals,only,unknown,left\n");
    for (size_t c = 0; c < n_columns; c++)
        for (size_t k = 0; k < columns[c].account->n_exclusions; k++) {
            const wa_exclusion *e = &columns[c].account->exclusions[k];
            wa_csv_add(out, columns[c].title);
            wa_text_printf(out, ",%s,", e->code);
            wa_csv_add(out, e->reason);
            wa_text_printf(out, ",%zu,%zu,%zu,%zu\n", e->intervals, e->only, e->unknown, e->left);
        }
    return !wa_text_failed(out);
}
