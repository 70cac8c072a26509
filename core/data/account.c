#include "windassay/account.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

wa_status wa_account_new(wa_account **out, const char *name, size_t n, wa_error *err)
{
    wa_account *a = calloc(1, sizeof *a);
    if (a == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    a->n = n;
    a->name = strdup(name);
    a->reasons = calloc(n + 1, sizeof *a->reasons);
    if (a->name == NULL || a->reasons == NULL) {
        wa_account_free(a);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    *out = a;
    return WA_OK;
}

void wa_account_free(wa_account *a)
{
    if (a == NULL)
        return;
    for (size_t i = 0; i < a->n_exclusions; i++) {
        free(a->exclusions[i].reason);
        free(a->exclusions[i].mask);
        wa_value_free(a->exclusions[i].why);
    }
    free(a->exclusions);
    free(a->name);
    free(a->reasons);
    free(a->states);
    free(a);
}

/* Whether the exclusion takes an interval with this byte of its mask out. */
static bool takes(const wa_exclusion *e, uint8_t byte)
{
    return byte == 1 || (byte == 2 && !e->keep_unknown);
}

static wa_status check_reason(const wa_account *a, const char *reason, wa_error *err)
{
    char shown[80];
    size_t length = strlen(reason);
    wa_shown(shown, sizeof shown, reason, length);
    if (a->states != NULL) {
        wa_fail(err, WA_ERR_SCRIPT, "'%s': the account '%s' is closed", shown, a->name);
        return wa_hint(err, WA_ERR_SCRIPT, "exclude before the first kept()");
    }
    if (length == 0 || length > WA_REASON_LIMIT)
        return wa_fail(err, WA_ERR_SCRIPT, "a reason must have 1 to %d bytes, not %zu",
                       WA_REASON_LIMIT, length);
    if (!wa_is_clean(reason, length))
        return wa_fail(err, WA_ERR_SCRIPT, "the reason '%s' has control characters", shown);
    for (size_t i = 0; i < a->n_exclusions; i++)
        if (strcmp(a->exclusions[i].reason, reason) == 0)
            return wa_fail(err, WA_ERR_SCRIPT, "the reason '%s' is already used in this account",
                           shown);
    if (a->n_exclusions == WA_REASONS_LIMIT)
        return wa_fail(err, WA_ERR_SCRIPT, "more than %d reasons in one account", WA_REASONS_LIMIT);
    return WA_OK;
}

/* Counts the new, last exclusion, and takes from the others what it shares with them. */
static void count(wa_account *a)
{
    wa_exclusion *last = &a->exclusions[a->n_exclusions - 1];
    for (size_t i = 0; i < a->n; i++) {
        last->intervals += last->mask[i] == 1;
        last->unknown += last->mask[i] == 2;
        bool out = takes(last, last->mask[i]);
        if (out && a->reasons[i] == 0)
            last->only++;
        if (out && a->reasons[i] == 1)
            for (size_t k = 0; k + 1 < a->n_exclusions; k++)
                a->exclusions[k].only -= takes(&a->exclusions[k], a->exclusions[k].mask[i]);
        a->reasons[i] = (uint16_t)(a->reasons[i] + out);
        last->left += a->reasons[i] == 0;
    }
}

wa_status wa_account_exclude(wa_account *a, const char *reason, const uint8_t *mask,
                             bool keep_unknown, bool both_sides, wa_error *err)
{
    wa_status status = check_reason(a, reason, err);
    if (status != WA_OK)
        return status;
    for (size_t i = 0; i < a->n; i++)
        if (mask[i] > 2)
            return wa_fail(err, WA_ERR_DATA, "the mask of '%s' holds %u at interval %zu", reason,
                           (unsigned)mask[i], i);
    wa_exclusion *all = realloc(a->exclusions, (a->n_exclusions + 1) * sizeof *all);
    if (all != NULL)
        a->exclusions = all;
    wa_exclusion e = {.reason = strdup(reason),
                      .mask = malloc(a->n + 1),
                      .keep_unknown = keep_unknown,
                      .both_sides = both_sides};
    if (all == NULL || e.reason == NULL || e.mask == NULL) {
        free(e.reason);
        free(e.mask);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    if (a->n > 0)
        memcpy(e.mask, mask, a->n);
    snprintf(e.code, sizeof e.code, "x%zu", a->n_exclusions + 1);
    all[a->n_exclusions++] = e;
    count(a);
    return WA_OK;
}

wa_status wa_account_exclude_events(wa_account *a, const wa_event *events, size_t n, wa_error *err)
{
    for (size_t i = 0; i < n; i++) {
        wa_status status =
            wa_account_exclude(a, events[i].reason, events[i].mask, false, false, err);
        if (status != WA_OK)
            return status;
        a->exclusions[a->n_exclusions - 1].event = true;
    }
    return WA_OK;
}

bool wa_account_has(const wa_account *a, size_t i)
{
    return a->reasons[i] == 0;
}

size_t wa_account_left(const wa_account *a)
{
    return a->n_exclusions == 0 ? a->n : a->exclusions[a->n_exclusions - 1].left;
}

const char *wa_state_word(uint8_t state)
{
    return state == WA_STATE_USED           ? "used"
           : state == WA_STATE_RECORDS_ONLY ? "records only"
           : state == WA_STATE_OUTSIDE      ? "outside"
                                            : NULL;
}

wa_status wa_account_close(wa_account *a, const uint8_t *states, wa_error *err)
{
    if (a->states != NULL)
        return wa_fail(err, WA_ERR_SCRIPT, "the account '%s' is closed", a->name);
    uint8_t *own = malloc(a->n + 1);
    if (own == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    size_t used = 0, records_only = 0, outside = 0, excluded = 0;
    for (size_t i = 0; i < a->n; i++) {
        bool out = a->reasons[i] > 0;
        uint8_t s = states != NULL ? states[i] : out ? WA_STATE_EXCLUDED : WA_STATE_USED;
        if (out ? s != WA_STATE_EXCLUDED : wa_state_word(s) == NULL) {
            free(own);
            return wa_fail(err, WA_ERR_DATA,
                           "account '%s': interval %zu is %s by its exclusions, its state is %u",
                           a->name, i, out ? "excluded" : "kept", (unsigned)s);
        }
        own[i] = s;
        used += s == WA_STATE_USED;
        records_only += s == WA_STATE_RECORDS_ONLY;
        outside += s == WA_STATE_OUTSIDE;
        excluded += s == WA_STATE_EXCLUDED;
    }
    if (used + records_only + outside + excluded != a->n) {
        free(own);
        return wa_fail(err, WA_ERR_INTERNAL, "account '%s' does not sum to its grid", a->name);
    }
    a->states = own;
    a->used = used;
    a->records_only = records_only;
    a->outside = outside;
    a->excluded = excluded;
    return WA_OK;
}
