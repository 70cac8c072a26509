/* evidence.h - every file of a dossier below data/, made from what a run found. */
#ifndef WINDASSAY_RUN_EVIDENCE_H
#define WINDASSAY_RUN_EVIDENCE_H

#include "run/compute.h"
#include "windassay/dossier.h"

/** Adds "FOLDER/ID.NAME.ENDING" with what is no letter, digit, '-', '_' or '.' replaced. */
void wa_evidence_path(wa_text *path, const char *folder, const char *id, const char *name,
                      const char *ending);

/** The path below data/ of what was given beside the grid. */
#define WA_GIVEN_AGREEMENT "agreement"
void wa_evidence_given(wa_text *path, const char *name, const char *sha256, const char *ending);

/** Adds a file to the dossier; WA_ERR_NOMEM for a text that failed. */
wa_status wa_evidence_add(wa_dossier *d, const char *path, const wa_text *bytes, wa_error *err);

/** The path of a script below data/: "scripts/checks/clock.lua", "scripts/campaign/campaign.lua",
 *  "scripts/root/shared/ravnmoor.lua". Its text is in `to`, which is returned. */
const char *wa_evidence_script(wa_text *to, const wa_module *m);

/** calibration.json, where a check gave a calibration; `json` is the record's text. */
wa_status wa_evidence_calibration(wa_dossier *d, const wa_value *record, const wa_text *json,
                                  wa_error *err);

/** The tables of one check: tables/ID.NAME.csv, and its values. */
wa_status wa_evidence_tables(wa_dossier *d, const wa_value *entry, wa_error *err);

/** All evidence but result.json and calibration.json: intervals, ledger, reasons, samples, inputs, tables, scripts, and
 *  what was given beside the grid (the campaign's tables, the records of earlier dossiers, calibrations), so
 *  that the dossier can be computed again by itself. What has a row an interval is made from `c` when
 *  the dossier is written: `c` must outlive it. */
wa_status wa_evidence_collect(wa_dossier *d, const wa_computed *c, wa_error *err);

#endif
