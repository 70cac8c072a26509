/* release.h - the scripts that came with this release, and how those that ran depart from them. */
#ifndef WINDASSAY_RUN_RELEASE_H
#define WINDASSAY_RUN_RELEASE_H

#include "script/modules.h"
#include "windassay/value.h"

/** A script as it was when the program was built: path as in a dossier, "scripts/checks/clock.lua". */
typedef struct release_file {
    const char *path;
    const unsigned char *text;
    size_t length;
} release_file;

/* Made at build by core/cmake/embed.cmake; in order of path. */
extern const release_file release_files[];
extern const size_t release_files_n;

/**
 * What ran under the name of a shipped script and is not this release's: { version, scripts = { {
 * path, diff } } }, with the diff from the release's text to the one that ran; one that the
 * release does not have has none. *out is NULL where all are the release's.
 */
wa_status wa_release_departures(wa_value **out, const wa_modules *m, wa_error *err);

/** Whether the release has a script of that path (as in a dossier) with that digest. */
bool wa_release_has(const char *path, const char *sha256);

#endif
