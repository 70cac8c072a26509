/* progress_coverage.h - how far a coverage is (report:coverage), and how long the rest may take. */
#ifndef WINDASSAY_RUN_PROGRESS_COVERAGE_H
#define WINDASSAY_RUN_PROGRESS_COVERAGE_H

#include "windassay/campaign.h"
#include "windassay/forecast.h"
#include "windassay/value.h"

/** Where the time stands, of the campaign or of a phase. */
typedef struct span {
    int64_t from, to; /* of the period, or of the phase in it      */
    int64_t until;    /* data of every source reach so far         */
} span;

/** The forecast of the whole: the slowest of all that is waited for and has one. */
typedef struct outlook {
    wa_forecast slowest;
    bool any;
    wa_value *unknowns; /* texts: what has no forecast, and why */
} outlook;

/** What the rows of one coverage have in common. */
typedef struct coverage {
    const char *id, *name;
    double each, needed;
    span span;
    bool waited_for;
    const wa_campaign *campaign;
} coverage;

/** Adds a coverage as the progress has it. `k` says whose it is; its name and numbers are read from
 *  `given`, what the check answered. What it waits for goes into the outlook. False: memory. */
bool coverage_add(wa_value *list, outlook *o, coverage *k, const wa_value *given);

/** The forecast and what has none. Takes the outlook's texts. False: memory. */
bool outlook_add(wa_value *progress, outlook *o);

double days_between(int64_t from, int64_t to);

#endif
