#include "run/agenda.h"

#include "windassay/result.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- asking a cell -------------------------------------------------------------------------- */

wa_status wa_agenda_reply_error(const wa_value *reply, wa_status otherwise, wa_error *err)
{
    const wa_value *e = wa_get(reply, "error");
    if (e == NULL)
        return WA_OK;
    const char *kind = wa_get_string(e, "kind"), *file = wa_get_string(e, "file");
    const char *source = wa_get_string(e, "source"), *hint = wa_get_string(e, "hint");
    const char *message = wa_get_string(e, "message");
    double line = 0;
    wa_number_of(wa_get(e, "line"), &line);
    bool limit = kind != NULL && strcmp(kind, "limit") == 0;
    wa_status s = wa_fail_at(err, limit ? WA_ERR_LIMIT : otherwise, file == NULL ? "" : file,
                             (size_t)line, 0, "%s", message == NULL ? "it broke" : message);
    if (source != NULL && line > 0)
        return wa_hint(err, s, "%4.0f | %s%s%s", line, source, hint == NULL ? "" : "\n",
                       hint == NULL ? "" : hint);
    return hint == NULL ? s : wa_hint(err, s, "%s", hint);
}

wa_status wa_agenda_ask(wa_value **reply, const wa_engine *engine, wa_modules *modules,
                        wa_value *job, int records, wa_status otherwise, wa_error *err)
{
    wa_value *answer = NULL;
    if (job == NULL)
        return wa_no_memory(err);
    const wa_limits limits = wa_limits_default(engine->cell);
    wa_status s = wa_cell_run(&answer, job, records, modules, &limits, err);
    wa_value_free(job);
    if (s == WA_OK)
        s = wa_agenda_reply_error(answer, otherwise, err);
    if (s == WA_OK)
        *reply = answer;
    else
        wa_value_free(answer);
    return s;
}

/* A job with up to two text fields; NULL without memory. */
static wa_value *text_job(const char *job, const char *key, const char *text)
{
    wa_value *v = wa_map();
    if (!wa_map_set(v, "job", wa_string(job)) || !wa_map_set(v, key, wa_string(text))) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

wa_status wa_agenda_describe(wa_value **out, const char *check, const wa_engine *engine,
                             wa_modules *modules, wa_error *err)
{
    return wa_agenda_ask(out, engine, modules, text_job("describe", "check", check), -1,
                         WA_ERR_SCRIPT, err);
}

wa_status wa_agenda_criteria(wa_criteria **out, wa_value **table, const char *name,
                             const wa_engine *engine, wa_modules *modules, wa_error *err)
{
    wa_value *reply = NULL;
    char module[160];
    const wa_module *file = NULL; /* of the program's, or the campaign's own */
    snprintf(module, sizeof module, "criteria.%s", name);
    wa_status s = wa_agenda_ask(&reply, engine, modules, text_job("criteria", "name", name), -1,
                                WA_ERR_SCRIPT, err);
    if (s == WA_OK)
        s = wa_modules_get(&file, modules, module, err);
    if (s == WA_OK)
        s = wa_criteria_decode(out, wa_get(reply, "criteria"), name, file->path, err);
    if (s == WA_OK && table != NULL) {
        *table = wa_value_copy(wa_get(reply, "criteria"));
        if (*table == NULL) {
            wa_criteria_free(*out);
            s = wa_no_memory(err);
        }
    }
    wa_value_free(reply);
    return s;
}

/* ---- the campaign file ---------------------------------------------------------------------- */

wa_status wa_split_path(char **folder, const char **file, const char *path, wa_error *err)
{
    const char *slash = strrchr(path, '/');
    size_t n = slash == NULL ? 0 : (size_t)(slash - path) + (slash == path);
    char *copy = slash == NULL ? strdup(".") : strndup(path, n);
    if (copy == NULL)
        return wa_no_memory(err);
    *folder = copy;
    *file = slash == NULL ? path : slash + 1;
    return WA_OK;
}

/* Evaluates the campaign file and decodes what it returned; the modules are there. */
static wa_status evaluate(wa_agenda *agenda, const char *folder, const char *file, const char *root,
                          const wa_engine *engine, wa_error *err)
{
    wa_value *reply = NULL;
    const wa_module *own = NULL;
    wa_status s = wa_agenda_ask(&reply, engine, agenda->modules, text_job("campaign", "file", file),
                                -1, WA_ERR_DATA, err);
    if (s == WA_OK)
        s = wa_modules_file(&own, agenda->modules, file, err);
    if (s == WA_OK)
        s = wa_campaign_decode(&agenda->campaign, wa_get(reply, "campaign"), folder, file, root,
                               own->text, err);
    wa_value_free(reply);
    return s;
}

static wa_status open_campaign(wa_agenda *agenda, const char *path, const wa_engine *engine,
                               wa_error *err)
{
    char *folder = NULL, *root = NULL;
    const char *file = NULL;
    wa_status s = wa_split_path(&folder, &file, path, err);
    if (s == WA_OK)
        s = wa_root_find(&root, folder, err);
    if (s == WA_OK)
        s = wa_modules_new(&agenda->modules, engine->scripts, folder, root, err);
    if (s == WA_OK)
        s = evaluate(agenda, folder, file, root, engine, err);
    free(folder);
    free(root);
    return s;
}

/* ---- criteria ------------------------------------------------------------------------------- */

/* A check or set of criteria that is not there is the campaign's mistake, not a script's. */
static wa_status must_exist(const wa_agenda *agenda, const wa_engine *engine, const char *kind,
                            const char *name, wa_error *err)
{
    char module[256];
    const wa_module *found;
    snprintf(module, sizeof module, "%s.%s", kind, name);
    wa_status s = wa_modules_get(&found, agenda->modules, module, err);
    if (s != WA_ERR_MISSING)
        return s;
    if (err != NULL)
        err->code = WA_ERR_DATA;
    wa_place(err, WA_ERR_DATA, agenda->campaign->file, 0, 0);
    return wa_catalogue_hint(err, WA_ERR_DATA, engine, kind, name);
}

static wa_status add_criteria(wa_agenda *agenda, const char *name, const wa_engine *engine,
                              wa_error *err)
{
    for (size_t i = 0; i < agenda->n_criteria; i++)
        if (strcmp(agenda->criteria[i]->name, name) == 0)
            return WA_OK;
    wa_criteria **more =
        realloc(agenda->criteria, (agenda->n_criteria + 1) * sizeof *agenda->criteria);
    if (more == NULL)
        return wa_no_memory(err);
    agenda->criteria = more;
    wa_status s = must_exist(agenda, engine, "criteria", name, err);
    if (s == WA_OK)
        s = wa_agenda_criteria(&more[agenda->n_criteria], NULL, name, engine, agenda->modules, err);
    if (s == WA_OK)
        agenda->n_criteria++;
    return s;
}

static wa_status load_criteria(wa_agenda *agenda, const wa_engine *engine, wa_error *err)
{
    wa_status s = WA_OK;
    for (size_t i = 0; i < agenda->campaign->n_checks && s == WA_OK; i++) {
        const wa_check_entry *c = &agenda->campaign->checks[i];
        if (c->contract != NULL)
            s = add_criteria(agenda, c->contract, engine, err);
        for (size_t k = 0; k < c->n_information && s == WA_OK; k++)
            s = add_criteria(agenda, c->information[k], engine, err);
    }
    return s;
}

static const wa_criteria *criteria_named(const wa_agenda *agenda, const char *name)
{
    for (size_t i = 0; i < agenda->n_criteria; i++)
        if (strcmp(agenda->criteria[i]->name, name) == 0)
            return agenda->criteria[i];
    return NULL;
}

/* ---- what a check needs --------------------------------------------------------------------- */

static bool source_has(const wa_source *s, const char *quantity)
{
    for (size_t i = 0; i < s->n_channels; i++)
        if (strcmp(s->channels[i].quantity, quantity) == 0)
            return true;
    const wa_value *adds = wa_get(s->prepare, "adds");
    for (size_t i = 0; i < wa_count(adds); i++) {
        const char *q = wa_get_string(wa_at(adds, i), "quantity");
        const char *name = wa_get_string(wa_at(adds, i), "name");
        if ((q != NULL && strcmp(q, quantity) == 0) ||
            (q == NULL && name != NULL && strcmp(name, quantity) == 0))
            return true;
    }
    return false;
}

static bool derives(const wa_campaign *c, wa_role role, const char *quantity)
{
    for (size_t i = 0; i < c->n_derived; i++)
        if (c->sources[c->derived[i].source].role == role &&
            strcmp(c->derived[i].name, quantity) == 0)
            return true;
    return false;
}

/* "unit.wind_speed": is there a source of the role with a channel of the quantity? */
static bool has_need(const wa_campaign *c, const char *need)
{
    const char *dot = strchr(need, '.');
    bool unit = strncmp(need, "unit.", 5) == 0;
    if (dot == NULL || (!unit && strncmp(need, "reference.", 10) != 0))
        return false;
    wa_role role = unit ? WA_ROLE_UNIT : WA_ROLE_REFERENCE;
    for (size_t i = 0; i < c->n_sources; i++)
        if (c->sources[i].role == role && source_has(&c->sources[i], dot + 1))
            return true;
    return derives(c, role, dot + 1);
}

static wa_status judge_needs(wa_planned *p, const wa_campaign *c, const wa_value *described,
                             wa_error *err)
{
    const wa_value *needs = wa_get(described, "needs");
    p->applicable = true;
    for (size_t i = 0; i < wa_count(needs); i++) {
        const char *need = wa_string_of(wa_at(needs, i));
        bool results = need != NULL && strcmp(need, "results") == 0; /* of the other checks */
        p->last = p->last || results;
        if (need == NULL || results || has_need(c, need))
            continue;
        char reason[200];
        snprintf(reason, sizeof reason, "the campaign has no %s", need);
        p->applicable = false;
        return wa_result_not_applicable(&p->entry, reason, err);
    }
    return WA_OK;
}

/* ---- the runs of a check -------------------------------------------------------------------- */

/* What is planned for one entry of the campaign: its own run, then those of its criteria. Two
 * sets that need a run of the same name with the same parameters share it. */
typedef struct wanted {
    const char *run; /* NULL: as asked */
    const wa_value *parameters;
    bool qualified; /* another set has a run of this name with other parameters */
    const char *set;
} wanted;

enum { WANTED_MAX = 64 };

static wa_status want_runs(wanted *runs, size_t *n, const wa_criteria *set, const char *check,
                           wa_error *err)
{
    for (size_t i = 0; i < wa_criteria_runs(set, check); i++) {
        const wa_value *parameters = NULL;
        const char *name = wa_criteria_run(set, check, i, &parameters);
        bool shared = false, clash = false;
        for (size_t k = 0; k < *n; k++) {
            if (runs[k].run == NULL || strcmp(runs[k].run, name) != 0)
                continue;
            if (wa_value_equal(runs[k].parameters, parameters))
                shared = true;
            else
                clash = true;
        }
        if (shared)
            continue;
        if (*n == WANTED_MAX)
            return wa_fail(err, WA_ERR_DATA, "check '%s': its criteria need more than %d runs",
                           check, WANTED_MAX);
        runs[(*n)++] = (wanted){name, parameters, clash, set->name};
    }
    return WA_OK;
}

/* The entry's parameters, with those of the run laid over them. */
static wa_value *merged(const wa_value *asked, const wa_value *run)
{
    wa_value *all = asked == NULL ? wa_map() : wa_value_copy(asked);
    for (size_t i = 0; i < wa_count(run) && all != NULL; i++)
        if (!wa_map_set(all, wa_key(run, i), wa_value_copy(wa_at(run, i)))) {
            wa_value_free(all);
            return NULL;
        }
    return all;
}

static bool uses_run(const wa_criteria *set, const wa_check_entry *asked, const wanted *w)
{
    if (w->run == NULL)
        return true;
    for (size_t i = 0; i < wa_criteria_runs(set, asked->name); i++) {
        const wa_value *parameters = NULL;
        const char *name = wa_criteria_run(set, asked->name, i, &parameters);
        if (strcmp(name, w->run) == 0 && wa_value_equal(parameters, w->parameters))
            return true;
    }
    return false;
}

static wa_status choose_sets(wa_planned *p, const wa_agenda *agenda, const wanted *w, wa_error *err)
{
    const wa_check_entry *c = p->asked;
    p->sets = calloc(c->n_information + 1, sizeof *p->sets);
    if (p->sets == NULL)
        return wa_no_memory(err);
    if (c->contract != NULL) {
        const wa_criteria *set = criteria_named(agenda, c->contract);
        if (uses_run(set, c, w))
            p->sets[p->n_sets++] = (wa_deciding){set, true};
    }
    for (size_t i = 0; i < c->n_information; i++) {
        const wa_criteria *set = criteria_named(agenda, c->information[i]);
        if (uses_run(set, c, w))
            p->sets[p->n_sets++] = (wa_deciding){set, false};
    }
    return WA_OK;
}

static wa_status make_id(char **out, const wa_planned *p, const wanted *w, wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    wa_text_add(&t, p->asked->id);
    if (p->phase != NULL)
        wa_text_printf(&t, ".%s", p->phase->name);
    if (w->run != NULL && w->qualified)
        wa_text_printf(&t, ":%s.%s", w->set, w->run);
    else if (w->run != NULL)
        wa_text_printf(&t, ":%s", w->run);
    for (size_t i = 0; i < t.length; i++)
        if (t.at[i] == ' ')
            t.at[i] = '_';
    if (wa_text_failed(&t)) {
        wa_text_release(&t);
        return wa_no_memory(err);
    }
    *out = t.at;
    return WA_OK;
}

static wa_status plan_one(wa_agenda *agenda, const wa_check_entry *asked, const wa_phase *phase,
                          const wanted *w, const wa_value *described, wa_error *err)
{
    wa_planned *more = realloc(agenda->checks, (agenda->n_checks + 1) * sizeof *more);
    if (more == NULL)
        return wa_no_memory(err);
    agenda->checks = more;
    wa_planned *p = &more[agenda->n_checks];
    *p = (wa_planned){.asked = asked, .phase = phase, .prescribed = w->parameters};
    agenda->n_checks++; /* from here wa_agenda_free owns what p holds */
    char *id = NULL;
    wa_value *set = merged(asked->parameters, w->parameters);
    wa_status s = set == NULL ? wa_no_memory(err) : make_id(&id, p, w, err);
    if (s == WA_OK && w->run != NULL && (p->run = strdup(w->run)) == NULL)
        s = wa_no_memory(err);
    if (s == WA_OK)
        s = wa_result_begin(&p->entry, id, asked->name, described, set, asked->confirmed, err);
    if (s == WA_OK)
        s = judge_needs(p, agenda->campaign, described, err);
    if (s == WA_OK)
        s = choose_sets(p, agenda, w, err);
    wa_value_free(set);
    free(id);
    return s;
}

static wa_status plan_entry(wa_agenda *agenda, const wa_check_entry *asked, const wa_engine *engine,
                            wa_error *err)
{
    wanted runs[WANTED_MAX] = {{.run = NULL}};
    size_t n = 1;
    wa_value *described = NULL;
    const wa_campaign *c = agenda->campaign;
    bool phases = asked->each != NULL;
    wa_status s = must_exist(agenda, engine, "checks", asked->name, err);
    if (s == WA_OK)
        s = wa_agenda_describe(&described, asked->name, engine, agenda->modules, err);
    if (s == WA_OK && asked->contract != NULL)
        s = want_runs(runs, &n, criteria_named(agenda, asked->contract), asked->name, err);
    for (size_t i = 0; i < asked->n_information && s == WA_OK; i++)
        s = want_runs(runs, &n, criteria_named(agenda, asked->information[i]), asked->name, err);
    for (size_t k = 0; k < (phases ? c->n_phases : 1) && s == WA_OK; k++)
        for (size_t i = 0; i < n && s == WA_OK; i++)
            s = plan_one(agenda, asked, phases ? &c->phases[k] : NULL, &runs[i], described, err);
    wa_value_free(described);
    return s;
}

static wa_status plan(wa_agenda *agenda, const wa_engine *engine, wa_error *err)
{
    wa_status s = load_criteria(agenda, engine, err);
    for (size_t i = 0; s == WA_OK && i < agenda->campaign->n_checks; i++)
        s = plan_entry(agenda, &agenda->campaign->checks[i], engine, err);
    return s;
}

wa_status wa_agenda_open(wa_agenda **out, const char *path, const wa_engine *engine, wa_error *err)
{
    wa_agenda *agenda = calloc(1, sizeof *agenda);
    if (agenda == NULL)
        return wa_no_memory(err);
    wa_status s = open_campaign(agenda, path, engine, err);
    if (s == WA_OK)
        s = plan(agenda, engine, err);
    if (s == WA_OK)
        *out = agenda;
    else
        wa_agenda_free(agenda);
    return s;
}

/* The set decides in place of the campaign's contracts. */
static wa_status decide_by(wa_agenda *agenda, const char *name, const wa_engine *engine,
                           wa_error *err)
{
    wa_campaign *c = agenda->campaign;
    bool any = false, some = false;
    wa_status s = add_criteria(agenda, name, engine, err);
    for (size_t i = 0; i < c->n_checks; i++)
        any = any || c->checks[i].contract != NULL;
    for (size_t i = 0; i < c->n_checks && s == WA_OK; i++) {
        wa_check_entry *e = &c->checks[i];
        bool covers = wa_criteria_covers(agenda->criteria[0], e->name);
        some = some || covers;
        if (any ? e->contract == NULL : !covers)
            continue;
        free(e->contract);
        if ((e->contract = strdup(name)) == NULL)
            s = wa_no_memory(err);
    }
    if (s == WA_OK && !some)
        s = wa_fail(err, WA_ERR_DATA, "the criteria '%s' limit nothing that the campaign checks",
                    name);
    return s;
}

wa_status wa_agenda_of(wa_agenda **out, wa_modules *modules, const char *file, const char *criteria,
                       const wa_engine *engine, wa_error *err)
{
    wa_agenda *agenda = calloc(1, sizeof *agenda);
    if (agenda == NULL) {
        wa_modules_free(modules);
        return wa_no_memory(err);
    }
    agenda->modules = modules;
    /* No folder: files come from a supply. The root is there for the paths that name it. */
    wa_status s = evaluate(agenda, "", file, "", engine, err);
    if (s == WA_OK && criteria != NULL)
        s = decide_by(agenda, criteria, engine, err);
    if (s == WA_OK)
        s = plan(agenda, engine, err);
    if (s == WA_OK)
        *out = agenda;
    else
        wa_agenda_free(agenda);
    return s;
}

void wa_agenda_free(wa_agenda *agenda)
{
    if (agenda == NULL)
        return;
    for (size_t i = 0; i < agenda->n_checks; i++) {
        free(agenda->checks[i].run);
        free(agenda->checks[i].sets);
        wa_value_free(agenda->checks[i].entry);
    }
    free(agenda->checks);
    for (size_t i = 0; i < agenda->n_criteria; i++)
        wa_criteria_free(agenda->criteria[i]);
    free(agenda->criteria);
    wa_campaign_free(agenda->campaign);
    wa_modules_free(agenda->modules);
    free(agenda);
}
