/* signature.h - the signature of a dossier, judged by ssh-keygen: their tool, not ours. */
#ifndef WINDASSAY_RUN_SIGNATURE_H
#define WINDASSAY_RUN_SIGNATURE_H

#include "windassay/dossier.h"
#include "windassay/value.h"

/**
 * Says whether tagmanifest-sha256.txt.sig is there and, with a file of allowed signers, whether it
 * holds: { state = "none" | "not verified" | "holds" | "does not hold", by =, text = }. Not verified
 * are signatures that nobody asked about, and those that could not be judged (no ssh-keygen).
 */
wa_status wa_signature_judge(wa_value **out, const char *folder, const char *allowed_signers,
                             wa_error *err);

#endif
