/* diff.h - how one text became another, line by line: a unified diff.
 *
 * The lines are those of the shortest edit script (E. W. Myers, An O(ND) difference algorithm and its
 * variations, Algorithmica 1, 251 (1986)); the form is that of POSIX `diff -u`: hunks with three lines
 * around them, "@@ -FROM,COUNT +FROM,COUNT @@", '-' before what went, '+' before what came.
 */
#ifndef WINDASSAY_DIFF_H
#define WINDASSAY_DIFF_H

#include "windassay/error.h"
#include "windassay/text.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Appends the diff, without a header; nothing where both are equal. Texts that differ in more than
 *  some thousand lines are shown as one whole that went and one that came. WA_ERR_NOMEM. */
wa_status wa_diff(wa_text *out, const char *before, size_t n_before, const char *after,
                  size_t n_after, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
