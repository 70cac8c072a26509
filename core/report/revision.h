/* revision.h - what a report replaces, and what a report should declare, in the page and the terminal. */
#ifndef WA_REPORT_REVISION_H
#define WA_REPORT_REVISION_H

#include "report/page.h"
#include "report/screen.h"

/* Nothing where the record replaces none. */
void wa_page_revision(wa_page *p, const wa_value *record);
void wa_screen_revision(wa_screen *s, const wa_value *record);

/* What ISO/IEC 17025 wants of a report and the campaign does not declare. */
void wa_page_undeclared(wa_page *p, const wa_value *record);

#endif
