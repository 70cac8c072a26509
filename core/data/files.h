/* files.h - the files of a campaign: found by pattern, opened beneath their folder.
 *
 * A path is relative, "raw/2026-03-02.csv.gz", below the campaign's folder, or begins with "root:"
 * and is then below the root. Whatever wrote a campaign file may be a stranger: no path leads out
 * of its folder, no link is followed, and only regular files are opened.
 */
#ifndef WINDASSAY_DATA_FILES_H
#define WINDASSAY_DATA_FILES_H

#include "windassay/error.h"

#include <stdbool.h>
#include <stddef.h>

/** Paths in order of their bytes, each once. */
typedef struct wa_paths {
    char **at;
    size_t n;
} wa_paths;

/**
 * Finds the files that the patterns name. In a component `*` stands for any characters (but no
 * dot at its beginning), `?` for one, `[a-z]` and `[!a-z]` for one of a set. The order of patterns
 * and of folders' entries does not matter; a file found twice counts once. `root` may be NULL.
 * WA_ERR_MISSING where a pattern matches nothing, with what is there instead; WA_ERR_DATA where
 * a pattern cannot be right, or a file that matches has a name or a kind that is refused.
 */
wa_status wa_files_find(wa_paths *out, const char *folder, const char *root,
                        const char *const *patterns, size_t n, wa_error *err);
void wa_paths_release(wa_paths *p);

/** Opens a path as found above for reading (close-on-exec). */
wa_status wa_file_open(int *fd, const char *folder, const char *root, const char *path,
                       wa_error *err);

/** The same for a plain path (no "root:") beneath one folder. */
wa_status wa_open_beneath(int *fd, const char *folder, const char *path, wa_error *err);

/**
 * A folder, found in the same way: `*out` is a path to it that the caller frees. No step to it is
 * a link at this moment; who opens it later must prove what is in it by itself.
 */
wa_status wa_folder_find(char **out, const char *folder, const char *root, const char *path,
                         wa_error *err);

/** WA_ERR_DATA unless the path is relative, without "..", ".", empty components or control
 *  characters. */
wa_status wa_path_check(const char *path, wa_error *err);

/** True where the name matches one component of a pattern. */
bool wa_name_matches(const char *pattern, const char *name);

#endif
