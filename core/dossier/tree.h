/* tree.h - folders walked and removed without following a link. */
#ifndef DOSSIER_TREE_H
#define DOSSIER_TREE_H

#include "windassay/error.h"

#include <stddef.h>

/* Paths of all regular files below the folder `name` of `parent`, relative to it, in order of
 * their bytes. WA_ERR_DATA when it holds a link or anything that is neither file nor folder, or an
 * empty folder; only `name` itself may be a link. The caller frees with tree_free. */
wa_status tree_list(char ***paths, size_t *n, int parent, const char *name, wa_error *err);
void tree_free(char **paths, size_t n);

/* Removes the folder with all that it holds; links are removed, not followed. Best effort: returns
 * 0, or -1 where something stayed. */
int tree_remove(int parent, const char *name);

#endif
