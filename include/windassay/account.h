/* account.h - the ledger: every interval of the grid is used, or carries every reason why not.
 *
 * An account is the grid with its exclusions, in the order in which they were made: first the
 * events of the campaign (logbook, changed instruments), then the check's own. A mask has one byte
 * an interval: 0 false, 1 true, 2 unknown (mask.h). Closing gives each interval one state; used +
 * records only + outside + excluded = grid, which closing verifies.
 *
 * The same code keeps the account in the cell and recomputes it in the parent from the masks that
 * the cell sent: the parent believes no count.
 */
#ifndef WINDASSAY_ACCOUNT_H
#define WINDASSAY_ACCOUNT_H

#include "windassay/error.h"
#include "windassay/records.h"
#include "windassay/text.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** The state of an interval, one byte each. */
enum {
    WA_STATE_USED = 'u',
    WA_STATE_RECORDS_ONLY = 'r', /* used in records, not in bin means (an incomplete bin) */
    WA_STATE_OUTSIDE = 'o',      /* outside the bins */
    WA_STATE_EXCLUDED = 'x'
};

enum { WA_REASON_LIMIT = 200, WA_REASONS_LIMIT = 1000 };

/** One reason. The counts are kept up to date with every exclusion made. */
typedef struct wa_exclusion {
    char *reason;
    char code[12];     /* "x1", "x2", ... in order                                   */
    uint8_t *mask;     /* n bytes: 0, 1, 2                                           */
    bool keep_unknown; /* false: an interval that cannot be judged is excluded too   */
    bool both_sides;   /* the mask uses both compared quantities: said where printed */
    bool event;        /* of the campaign, not of the check                          */
    wa_value *why;     /* { rule, looks_at }: by what it goes, for a reader; or NULL */
    size_t intervals;  /* meet it                                                    */
    size_t unknown;    /* cannot be judged                                           */
    size_t only;       /* excluded by it (met or not to be judged) and by no other   */
    size_t left;       /* neither excluded by it nor by those before it              */
} wa_exclusion;

typedef struct wa_account {
    char *name;
    size_t n; /* intervals in the grid */
    wa_exclusion *exclusions;
    size_t n_exclusions;
    uint16_t *reasons; /* for each interval: how many exclusions take it out */
    uint8_t *states;   /* NULL until closed */
    size_t used, records_only, outside, excluded; /* 0 until closed */
} wa_account;

/** An open account over n intervals without exclusions. */
wa_status wa_account_new(wa_account **out, const char *name, size_t n, wa_error *err);
void wa_account_free(wa_account *a);

/**
 * Excludes. Copies reason and mask. WA_ERR_SCRIPT when the account is closed, the reason is
 * empty, too long, not clean text or already there, or there are too many; WA_ERR_DATA when a
 * byte of the mask is none of 0, 1, 2.
 */
wa_status wa_account_exclude(wa_account *a, const char *reason, const uint8_t *mask,
                             bool keep_unknown, bool both_sides, wa_error *err);

/** Excludes the campaign's events; before any other exclusion. */
wa_status wa_account_exclude_events(wa_account *a, const wa_event *events, size_t n, wa_error *err);

/** Whether interval i is still in. */
bool wa_account_has(const wa_account *a, size_t i);
/** How many intervals are still in. */
size_t wa_account_left(const wa_account *a);

/**
 * Closes: no exclusion can follow. `states` (n bytes) says what became of each interval; NULL:
 * all that are still in are used. WA_ERR_DATA when a state contradicts the exclusions.
 */
wa_status wa_account_close(wa_account *a, const uint8_t *states, wa_error *err);

/** The word for a state that ledger.csv prints: "used", "records only", "outside"; NULL else. */
const char *wa_state_word(uint8_t state);

/** One account as a file shows it: `title` is "CHECKID" or "CHECKID.ACCOUNT". */
typedef struct wa_ledger_column {
    const char *title;
    const wa_account *account; /* closed */
} wa_ledger_column;

/** data/ledger.csv: time of the interval's start, then one column an account: the state's word,
 *  or the codes of every reason joined by +, with ? behind where the interval cannot be judged.
 *  False: memory ran out. The listing looks at titles and accounts. */
bool wa_ledger_list(wa_listing *out, int64_t from, int64_t interval_ns, size_t n,
                    const wa_ledger_column *columns, size_t n_columns);
/** data/reasons.csv: account, code, reason, intervals, only, unknown, left. */
bool wa_reasons_write(wa_text *out, const wa_ledger_column *columns, size_t n_columns);

#ifdef __cplusplus
}
#endif
#endif
