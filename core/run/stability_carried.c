/* Checks that judge the results of others: what these come to in their variants is judged, too. */
#include "run/stability_plan.h"
#include "run/uses.h"

#include <string.h>

/* A variant of the whole campaign: it is the same one in every check. */
static bool is_shared(const wa_variant *v)
{
    return v->kind == WA_VARIANT_DAY || v->kind == WA_VARIANT_PLANNED ||
           v->kind == WA_VARIANT_RESAMPLE || v->event;
}

static bool same_text(const char *a, const char *b)
{
    return a == NULL || b == NULL ? a == b : strcmp(a, b) == 0;
}

static bool same_change(const wa_variant *a, const wa_variant *b)
{
    return a->kind == b->kind && a->event == b->event && same_text(a->name, b->name) &&
           (a->event || same_text(a->account, b->account)) && a->day == b->day &&
           a->value == b->value && a->seed == b->seed;
}

static wa_variant *find(const wa_stability_plan *p, const wa_variant *v)
{
    for (size_t i = 0; i < p->n; i++)
        if (same_change(&p->at[i], v))
            return &p->at[i];
    return NULL;
}

static const char *id_of(const wa_planned *check)
{
    return wa_get_string(check->entry, "id");
}

/* The entry that a check has in a variant of another; its own where that does not touch it. */
static const wa_value *entry_in(const wa_stability_plan *p, const wa_planned *check,
                                const wa_variant *v)
{
    if (p == NULL || v == NULL ||
        (v->of == NULL ? !is_shared(v) : strcmp(v->of, id_of(check)) != 0))
        return check->entry;
    const wa_variant *own = find(p, v);
    return own == NULL || own->entry == NULL ? check->entry : own->entry;
}

wa_value *wa_stability_results(const wa_execution *e, const wa_stability_plan *plans,
                               const wa_variant *v, size_t without)
{
    const wa_agenda *agenda = e->agenda;
    wa_value *results = wa_uses_begin(agenda->campaign->described);
    bool good = results != NULL;
    for (size_t i = 0; i < agenda->n_checks && good; i++) {
        const wa_planned *check = &agenda->checks[i];
        if (!check->last && i != without)
            good = wa_uses_add(results, entry_in(plans == NULL ? NULL : &plans[i], check, v));
    }
    if (good)
        return results;
    wa_value_free(results);
    return NULL;
}

wa_status wa_stability_depends(bool *out, const wa_execution *e, size_t judge, size_t other,
                               wa_error *err)
{
    const wa_planned *check = &e->agenda->checks[judge];
    wa_variant v = {.kind = WA_VARIANT_EXCLUSION};
    wa_value *results = wa_stability_results(e, NULL, NULL, other);
    wa_status s = results == NULL ? wa_fail(err, WA_ERR_NOMEM, "out of memory")
                                  : wa_stability_try(&v, e, check, wa_map(), results, err);
    if (s == WA_OK)
        *out = wa_variant_moves(&v, check->entry);
    wa_value_free(v.entry);
    return s;
}

static bool copy(char **to, const char *text)
{
    return text == NULL || (*to = strdup(text)) != NULL;
}

bool wa_stability_carry(wa_stability_plan *to, const wa_stability_plan *of)
{
    for (size_t i = 0; i < of->n; i++) {
        const wa_variant *v = &of->at[i];
        wa_variant *own = is_shared(v) ? find(to, v) : NULL;
        if (own != NULL)
            own->same = own->same && v->same; /* what it leaves alone there may count here */
        if (own != NULL || v->same)
            continue;
        own = wa_stability_add(to, v->kind, v->name);
        if (own == NULL || !copy(&own->account, v->account) || !copy(&own->unit, v->unit) ||
            (!is_shared(v) && !copy(&own->of, id_of(of->check))))
            return false;
        own->event = v->event;
        own->day = v->day;
        own->before = v->before;
        own->value = v->value;
        own->seed = v->seed;
    }
    return true;
}
