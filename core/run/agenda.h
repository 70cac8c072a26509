/* agenda.h - what a campaign file asks for: its checks, the runs of each, the criteria that decide. */
#ifndef WINDASSAY_RUN_AGENDA_H
#define WINDASSAY_RUN_AGENDA_H

#include "script/cell.h"
#include "script/modules.h"
#include "windassay/campaign.h"
#include "windassay/criteria.h"
#include "windassay/run.h"
#include "windassay/value.h"

/** One run of a check: the check as it is asked for, or with the parameters that a set of
 *  criteria needs; for one phase where the campaign says so. */
typedef struct wa_planned {
    const wa_check_entry *asked;
    char *run;                  /* name of the criteria's run; NULL: as asked          */
    const wa_phase *phase;      /* NULL: not for one phase                             */
    wa_value *entry;            /* its part of the record, begun (result.h)            */
    const wa_value *prescribed; /* parameters that criteria set for the run; NULL: none */
    bool applicable;            /* false: the entry says why not                       */
    bool last;                  /* it needs the results of those that are not          */
    wa_deciding *sets;          /* the criteria that decide it                         */
    size_t n_sets;
} wa_planned;

typedef struct wa_agenda {
    wa_modules *modules;
    wa_campaign *campaign;
    wa_criteria **criteria;
    size_t n_criteria;
    wa_planned *checks;
    size_t n_checks;
} wa_agenda;

/** Evaluates and decodes the campaign at `path`; loads checks and criteria. Reads no data. */
wa_status wa_agenda_open(wa_agenda **out, const char *path, const wa_engine *engine, wa_error *err);
/** The same of a campaign whose scripts lie in no folder: `modules`, owned from now on, serves them,
 *  `file` is the campaign's own. With `criteria` that set decides in place of each contract, or,
 *  where the campaign names none, every check of which it limits something. */
wa_status wa_agenda_of(wa_agenda **out, wa_modules *modules, const char *file, const char *criteria,
                       const wa_engine *engine, wa_error *err);
void wa_agenda_free(wa_agenda *agenda);

/** Splits "FOLDER/FILE": the folder ("." without one) is the caller's, the file borrowed. */
wa_status wa_split_path(char **folder, const char **file, const char *path, wa_error *err);

/** Asks a cell and turns { error = ... } of its answer into an error of status `otherwise`
 *  (limits stay limits). The caller frees the answer. */
wa_status wa_agenda_ask(wa_value **reply, const wa_engine *engine, wa_modules *modules,
                        wa_value *job, int records, wa_status otherwise, wa_error *err);

/** The error that a cell's answer tells of; WA_OK without one. */
wa_status wa_agenda_reply_error(const wa_value *reply, wa_status otherwise, wa_error *err);

/** The description of a check (title, practice, needs, parameters). The caller frees. */
wa_status wa_agenda_describe(wa_value **out, const char *check, const wa_engine *engine,
                             wa_modules *modules, wa_error *err);
/** A set of criteria, decoded; `table` (may be NULL) gets the plain table, to be freed. */
wa_status wa_agenda_criteria(wa_criteria **out, wa_value **table, const char *name,
                             const wa_engine *engine, wa_modules *modules, wa_error *err);

/** Names the shipped check or set of criteria ("checks", "criteria") nearest to `name` in the
 *  hint of an error, where one is near. Returns `status`. */
wa_status wa_catalogue_hint(wa_error *err, wa_status status, const wa_engine *engine,
                            const char *kind, const char *name);

#endif
