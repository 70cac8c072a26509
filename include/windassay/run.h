/* run.h - a campaign from its file to its dossier, and free scripts over tables.
 *
 * The order: evaluate the campaign file in a sealed cell, decode it, describe its checks and
 * criteria, read and average the files, run each check in a cell of its own, decide, write.
 * Nothing here prints; nothing depends on the clock but data/run.json, which is never compared.
 */
#ifndef WINDASSAY_RUN_H
#define WINDASSAY_RUN_H

#include "windassay/campaign.h"
#include "windassay/digest.h"
#include "windassay/error.h"
#include "windassay/records.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Where the engine's own parts lie, and how it may work. Borrowed. */
typedef struct wa_engine {
    const char *cell;    /* the program windassay-cell                        */
    const char *scripts; /* the folder with checks/, practice/ and criteria/  */
    size_t jobs;         /* threads and cells at a time; 0: one a processor   */
    const wa_progress *progress;
    const wa_reading *reading; /* NULL: as is best; tests and benchmarks choose (its jobs and
                                  progress do not count) */
} wa_engine;

/** A dossier that was made, or that was there already with the same evidence. */
typedef struct wa_run {
    wa_value *record; /* what result.json holds                                    */
    wa_text json;     /* its bytes                                                 */
    char *dossier;    /* the folder                                                */
    bool was_there;   /* an equal dossier existed already                          */
    int exit_code;    /* 0 pass or conditional pass or no decision asked, 1 fail or
                         conditional fail, 2 inconclusive, 69 a check that broke   */
} wa_run;

typedef struct wa_run_options {
    const char *into; /* the dossier's folder; NULL: the campaign's name beside its file */
    bool replace;     /* a different dossier there may be replaced                       */
    bool with_data;   /* the input files are copied into the dossier                     */
    const char *compiler, *host, *now; /* for data/run.json; the caller knows them       */
} wa_run_options;

/** Runs a campaign. A check that breaks is a row of the record, not an error of the run. */
wa_status wa_run_campaign(wa_run *out, const char *campaign, const wa_engine *engine,
                          const wa_run_options *options, wa_error *err);
void wa_run_release(wa_run *run);

/**
 * Other criteria decide what a dossier measured: computed again from its intervals.csv, by the
 * criteria of the file `criteria` (NAME.lua) in place of the campaign's contracts. What comes is the
 * next revision, which says what it replaces and what changed; `reason` may be NULL. The dossier
 * stays as it is. options->with_data has no meaning here.
 */
wa_status wa_decide(wa_run *out, const char *dossier, const char *criteria, const char *reason,
                    const wa_engine *engine, const wa_run_options *options, wa_error *err);

/** The exit code that a record stands for, as in wa_run. */
int wa_record_exit(const wa_value *record);

/** What there is before weeks are lost: files, rows, rates, gaps, units, heights, lag, and what
 *  each check will find. A record with one check, as that of a free script. */
wa_status wa_look(wa_value **record, const char *campaign, const wa_engine *engine, wa_error *err);

/** How far a campaign is that still runs (docs/reference/progress.md). */
typedef struct wa_progress_report {
    wa_value *value;  /* as a plain value                                            */
    wa_value *sheet;  /* as a record of one check, for a terminal                    */
    wa_value *record; /* what was computed so far; NULL unless the outcome was asked for */
    int exit_code;    /* 0: enough to decide by; 2: something is missing; 69: a check broke */
} wa_progress_report;

/** Computes a campaign as `run` does, but keeps nothing, varies nothing, and leaves out a last row
 *  that nothing ends. With `outcome` the value has the record, too. */
wa_status wa_run_progress(wa_progress_report *out, const char *campaign, bool outcome,
                          const wa_engine *engine, wa_error *err);
void wa_progress_report_release(wa_progress_report *r);

/** A question about intervals of a dossier. */
typedef struct wa_why_question {
    const char *time;  /* an instant, without an offset in UTC; or "FROM/TO"              */
    const char *until; /* the end of a range, or NULL                                     */
    const char *check; /* accounts of that check (its id or its file's name); NULL: of all */
    const char *data;  /* a folder with the input files: their rows are told, too; NULL: not */
} wa_why_question;

/**
 * What a dossier says of intervals: values, samples, what became of each in every account and by
 * what rule, what was compared, its bin, and the rank of its deviation. `engine` is needed only with `data`. WA_ERR_ARG for a
 * time outside of the grid (the hint says what the grid is) and for an unknown check.
 */
wa_status wa_why(wa_value **out, const char *dossier, const wa_why_question *q,
                 const wa_engine *engine, wa_error *err);
/** What is agreed before the data: who and when are declared, no clock is read. */
typedef struct wa_agree_options {
    const char *by, *on; /* NULL: not said                     */
    bool replace;        /* another agreement may be forgotten */
} wa_agree_options;

typedef struct wa_agreed {
    char *path; /* of the file */
    wa_value *value;
    char sha256[WA_SHA256_TEXT_SIZE];
    bool was_there; /* it says the same */
} wa_agreed;

/** Writes the agreement of a campaign beside it (docs/reference/agreement.md). WA_ERR_ARG where another
 *  one is there. Reads no data. */
wa_status wa_agree(wa_agreed *out, const char *campaign, const wa_agree_options *options,
                   const wa_engine *engine, wa_error *err);
void wa_agreed_release(wa_agreed *a);

/** Two dossiers side by side. */
typedef struct wa_compared {
    bool same;       /* the records are equal, byte for byte                              */
    wa_value *value; /* { same, first, second, tables, differences, count }                */
    wa_value *sheet; /* as a record of one check, for a terminal                           */
} wa_compared;

/** Matches checks, parameters, exclusions, values and requirements by name. With `all` the tables
 *  hold what is the same, too. */
wa_status wa_compare_dossiers(wa_compared *out, const char *first, const char *second, bool all,
                              wa_error *err);
void wa_compared_release(wa_compared *c);

/** A table for a free script: NAME=FILE.csv. */
typedef struct wa_script_table {
    const char *name, *file;
} wa_script_table;

/** Runs a free script over plain tables; the record has one check. */
wa_status wa_run_script(wa_value **record, const char *script, const wa_script_table *tables,
                        size_t n_tables, const wa_engine *engine, wa_error *err);

/** What checks or sets of criteria there are, or with `name` all about one: as a plain value (a
 *  list of { name, title, ... }, or one such map) and as a record of one check, for a terminal. */
wa_status wa_list_checks(wa_value **listed, wa_value **record, const char *name,
                         const wa_engine *engine, wa_error *err);
wa_status wa_list_criteria(wa_value **listed, wa_value **record, const char *name,
                           const wa_engine *engine, wa_error *err);

/** Every file of the presentation that follows from a record: report.html and the figures, as a
 *  list of { path, bytes }. A dossier's own copies must equal these. */
wa_status wa_present(wa_value **files, const wa_value *record, const char *digest, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
