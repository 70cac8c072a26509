/* A check's description and its answer: what is accepted makes a record that is decided, closed, written as JSON and
 * drawn; the accounts add up to the grid. What is refused leaves the entry as it was. */
#include "../listing_text.h"
#include "fuzz.h"

#include "windassay/json.h"
#include "windassay/report.h"
#include "windassay/result.h"

enum { N = 6 };

static const char DESCRIBED[] =
    "{'title': 'Speeds', 'practice': 'a practice', 'needs': ['unit.wind_speed'], 'parameters': ["
    "{'name': 'width', 'default': 0.5, 'unit': 'm/s', 'text': 'width of a bin', 'source': 'a "
    "clause', 'evidence': 'recalled'}]}";
static const char CRITERIA[] =
    "{'title': 'House rules', 'source': 'house manual', 'evidence': 'invented', 'rule': "
    "'non-binary', 'k': 2, 'limits': [{'check': 'speed', 'require': 'slope', 'lower': 0.98, "
    "'upper': 1.02, 'unit': '1'}, {'check': 'speed', 'require': 'share', 'upper': 0.1, 'unit': "
    "'1', 'rule': 'simple'}]}";

static void accounts_add_up(const wa_accounts *a)
{
    for (size_t i = 0; i < a->n; i++) {
        const wa_account *x = a->at[i];
        FUZZ_HOLDS(x->n == N && x->states != NULL);
        FUZZ_HOLDS(x->used + x->records_only + x->outside + x->excluded == N);
        for (size_t k = 0; k < x->n_exclusions; k++)
            FUZZ_HOLDS(x->exclusions[k].only <= N && x->exclusions[k].left <= N);
    }
}

static void ledger_writes(const wa_accounts *a)
{
    wa_listing listing;
    enum { MOST = 16 };
    wa_ledger_column columns[MOST];
    wa_text t = WA_TEXT_INIT;
    size_t n = a->n < MOST ? a->n : MOST;
    for (size_t i = 0; i < n; i++)
        columns[i] = (wa_ledger_column){"speed", a->at[i]};
    FUZZ_HOLDS(
        listing_text(&t, wa_ledger_list(&listing, 0, 600000000000, N, columns, n), &listing));
    FUZZ_HOLDS(wa_reasons_write(&t, columns, n));
    FUZZ_HOLDS(wa_utf8_valid(t.at, t.length));
    wa_text_release(&t);
}

/* Takes the entry. */
static void record_of(wa_value *entry)
{
    wa_value *table = fuzz_json(CRITERIA), *campaign = fuzz_json("{'title': 'x'}");
    wa_criteria *c = NULL;
    wa_error err = {0};
    wa_text json = WA_TEXT_INIT, html = WA_TEXT_INIT;
    FUZZ_HOLDS(wa_criteria_decode(&c, table, "house", "house.lua", NULL) == WA_OK);
    const wa_criteria *const contracts[] = {c};
    const wa_deciding sets[] = {{c, true}};
    wa_status s = wa_record_decide(entry, NULL, sets, 1, &err);
    wa_value *record = wa_record_new(campaign);
    FUZZ_HOLDS(record != NULL && wa_list_add(wa_get_mutable(record, "checks"), entry));
    if (s != WA_OK) {
        fuzz_error_is_clean(s, &err);
    } else {
        FUZZ_HOLDS(wa_record_close(record, contracts, 1, &err) == WA_OK);
        FUZZ_HOLDS(wa_json_write(&json, record, WA_JSON_READABLE, &err) == WA_OK);
        FUZZ_HOLDS(wa_report_html(&html, record, NULL, &err) == WA_OK);
        FUZZ_HOLDS(wa_utf8_valid(html.at, html.length));
    }
    wa_text_release(&json);
    wa_text_release(&html);
    wa_value_free(record);
    wa_criteria_free(c);
    wa_value_free(table);
}

/* The value as a check's description, which a stranger's cell answers as well. */
static void describes(const wa_value *described)
{
    wa_value *entry = NULL;
    wa_error err = {0};
    wa_status s = wa_result_begin(&entry, "speed", "speed", described, NULL, NULL, &err);
    if (s != WA_OK) {
        FUZZ_HOLDS(entry == NULL);
        fuzz_error_is_clean(s, &err);
        return;
    }
    wa_value *parameters = wa_result_parameters(entry);
    FUZZ_HOLDS(wa_value_kind(parameters) == WA_MAP);
    wa_value_free(parameters);
    FUZZ_HOLDS(wa_result_not_applicable(&entry, "no mast", NULL) == WA_OK);
    record_of(entry);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_value *reply = fuzz_value(data, size);
    if (reply == NULL)
        return 0;
    describes(reply);
    static char why[] = "window cleaned";
    uint8_t mask[N] = {0, 0, 0, 0, 0, 1};
    const wa_event events[] = {{why, mask}};
    wa_value *described = fuzz_json(DESCRIBED), *entry = NULL;
    wa_error err = {0};
    wa_accounts accounts = {0};
    FUZZ_HOLDS(wa_result_begin(&entry, "speed", "speed", described, NULL, NULL, NULL) == WA_OK);
    wa_value *before = wa_value_copy(entry);
    wa_status s = wa_result_accept(&entry, &accounts, reply, N, events, 1, &err);
    if (s == WA_OK) {
        accounts_add_up(&accounts);
        ledger_writes(&accounts);
    } else {
        fuzz_error_is_clean(s, &err);
        FUZZ_HOLDS(accounts.n == 0 && wa_value_equal(before, entry));
        FUZZ_HOLDS(wa_result_broke(&entry, &err, NULL) == WA_OK);
    }
    record_of(entry);
    wa_accounts_release(&accounts);
    wa_value_free(before);
    wa_value_free(described);
    wa_value_free(reply);
    return 0;
}
