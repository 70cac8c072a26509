/* modules.h - which file a script means by a name, and what was read.
 *
 * A campaign has up to three folders: the scripts that come with the program, its own folder, and
 * the root above it (where fleet.lua lies). A file is opened beneath its folder without following
 * links, must be regular, at most 64 KiB and UTF-8 text, is read once, hashed and kept, so that
 * the dossier holds exactly what ran. Or the texts are those of a dossier that is computed again.
 */
#ifndef WINDASSAY_SCRIPT_MODULES_H
#define WINDASSAY_SCRIPT_MODULES_H

#include "windassay/error.h"
#include "windassay/text.h"

#include <stddef.h>

enum { WA_MODULE_MOST = 64 * 1024 };

typedef struct wa_modules wa_modules;

/** One file that was served. */
typedef struct wa_module {
    char *name; /* "checks.clock", "shared.ravnmoor"; for a file that is no module its file name */
    char *path; /* in the dossier: "scripts/checks/clock.lua", "campaign/campaign.lua",
                   "root/shared/ravnmoor.lua"                                               */
    char *text; /* NUL-terminated; holds no other NUL */
    size_t length;
    char sha256[65];
} wa_module;

/** Copies the folders; `campaign` and `root` may be NULL: there is none. */
wa_status wa_modules_new(wa_modules **out, const char *scripts, const char *campaign,
                         const char *root, wa_error *err);

/** Where the texts come from instead of folders: appends that of a path as in the dossier, "scripts/
 *  checks/clock.lua". WA_ERR_MISSING when there is none. From any thread. */
typedef wa_status wa_module_texts(wa_text *out, void *context, const char *path, wa_error *err);

/** The same rules over texts that lie in no folder: those of a dossier. */
wa_status wa_modules_of(wa_modules **out, wa_module_texts *texts, void *context, wa_error *err);
void wa_modules_free(wa_modules *m);

/**
 * The module `name`: words of [A-Za-z0-9_] joined by points. From any thread; the answer is
 * borrowed and stays as long as `m`.
 *   practice.X           scripts/practice/X.lua
 *   checks.X criteria.X  scripts/checks/X.lua, else the campaign's own checks/X.lua
 *   shared.X             root/shared/X.lua
 *   X, X.Y               the campaign's folder: X.lua, X/Y.lua
 * WA_ERR_SCRIPT for a name that none can have, for a file that none may be, and where both the
 * program's scripts and the campaign's folder have a file of the first two kinds. WA_ERR_MISSING
 * when there is no such file; the hint lists where it was looked for.
 */
wa_status wa_modules_get(const wa_module **out, wa_modules *m, const char *name, wa_error *err);

/** A file of the campaign's folder by its file name: the campaign file itself. */
wa_status wa_modules_file(const wa_module **out, wa_modules *m, const char *file, wa_error *err);

/** What was served so far, in order of path. Not while other threads ask. */
size_t wa_modules_count(const wa_modules *m);
const wa_module *wa_modules_at(const wa_modules *m, size_t i);

#endif
