/* contents.h - what the dossier of a computed campaign holds. */
#ifndef WINDASSAY_RUN_CONTENTS_H
#define WINDASSAY_RUN_CONTENTS_H

#include "run/compute.h"
#include "windassay/dossier.h"

typedef struct wa_contents {
    wa_text json;        /* the bytes of result.json                                     */
    wa_dossier *dossier; /* all evidence and presentation; neither inputs nor run.json   */
} wa_contents;

/** It looks at `c`, which must outlive it. WA_ERR_DATA for a final report that hangs on what nobody has
 *  confirmed. */
wa_status wa_contents_make(wa_contents *out, const wa_computed *c, wa_error *err);
void wa_contents_release(wa_contents *c);

#endif
