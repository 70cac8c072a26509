/* agreement.h - departures from what was agreed and from the release, in the page and the terminal. */
#ifndef WA_REPORT_AGREEMENT_H
#define WA_REPORT_AGREEMENT_H

#include "report/page.h"
#include "report/screen.h"

/* Nothing where the record has neither. */
void wa_page_agreement(wa_page *p, const wa_value *record);
void wa_screen_agreement(wa_screen *s, const wa_value *record);

#endif
