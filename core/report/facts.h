/* facts.h - what page and terminal both say about a requirement, a value or a cell: plain text,
 * not yet escaped for a page. */
#ifndef WA_REPORT_FACTS_H
#define WA_REPORT_FACTS_H

#include "windassay/text.h"
#include "windassay/value.h"

/* "1.00213": with the digits that show why; "undefined" where there is no value. */
void wa_facts_value(wa_text *t, const wa_value *requirement);

/* U = k u: "0.0042"; "" without u. */
void wa_facts_expanded(wa_text *t, const wa_value *requirement);

/* The guard band w: "0.0042"; "" where the rule has none. */
void wa_facts_guard(wa_text *t, const wa_value *requirement);

/* What an uncertainty leaves out: "scatter only: ..."; "" where u is whole or absent. */
void wa_facts_scatter(wa_text *t, const wa_value *requirement);

/* True where the limits are those of the contract. */
bool wa_facts_decides(const wa_value *requirement);

/* The id of a check is "NAME.PHASE:RUN": the phase of the campaign and the run (parameters that
 * criteria ask for) only where there is one. The run; NULL for a check as the campaign asks. */
const char *wa_facts_run(const wa_value *check);
const char *wa_facts_phase(const wa_value *check); /* up to ':' or the end; NULL: none */

/* The check of which `check` is a run, among `checks`; NULL where it is none, or where the campaign
 * asks for the run alone. */
const wa_value *wa_facts_asked(const wa_value *checks, const wa_value *check);

/* "98.25 %", "> 99.99 %", "< 0.01 %": never rounded onto certainty. The blanks do not break. */
void wa_facts_probability(wa_text *t, double p);

/* An entry of `values`: the number with its usual digits; its text where it is one. */
void wa_facts_number(wa_text *t, const wa_value *entry);

/* Cell (row, c) of a table with the column's decimals; "" for null. */
void wa_facts_cell(wa_text *t, const wa_value *cell, int decimals);

/* True where a column holds a number somewhere: it is then set flush right. */
bool wa_facts_numeric(const wa_value *rows, size_t c);

/* "name [unit]" in UDUNITS, unescaped. */
void wa_facts_head(wa_text *t, const wa_value *column);

/* "used 3456 + used in records only 120 + outside the bins 80 + excluded 3400 = grid 7056"; says
 * so where they do not sum. */
void wa_facts_account(wa_text *t, const wa_value *account);

#endif
