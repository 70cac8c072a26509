/* ledger.csv and reasons.csv */
#include "windassay/account.h"
#include "windassay/csv_field.h"
#include "windassay/time.h"

#include <assert.h>

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

bool wa_ledger_write(wa_text *out, int64_t from, int64_t interval_ns, size_t n,
                     const wa_ledger_column *columns, size_t n_columns)
{
    wa_text_add(out, "time");
    for (size_t c = 0; c < n_columns; c++) {
        assert(columns[c].account->states != NULL && columns[c].account->n == n);
        wa_text_add_char(out, ',');
        wa_csv_add(out, columns[c].title);
    }
    wa_text_add_char(out, '\n');
    for (size_t i = 0; i < n; i++) {
        char time[WA_TIME_TEXT_SIZE];
        wa_text_add_bytes(out, time, wa_time_print(time, from + (int64_t)i * interval_ns));
        for (size_t c = 0; c < n_columns; c++) {
            const wa_account *a = columns[c].account;
            const char *word = wa_state_word(a->states[i]);
            wa_text_add_char(out, ',');
            if (word != NULL)
                wa_text_add(out, word);
            else
                add_codes(out, a, i);
        }
        wa_text_add_char(out, '\n');
    }
    return !wa_text_failed(out);
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
