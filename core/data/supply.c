#include "data/supply.h"

#include <stdio.h>
#include <stdlib.h>

/* While the campaign runs, a pattern may name files that are to come: those that match something, unless
 * none does. */
static wa_status find_files(wa_paths *out, const wa_campaign *c, const wa_source *s, wa_error *err)
{
    const char *const *patterns = (const char *const *)s->files;
    const char **there = calloc(s->n_files + 1, sizeof *there);
    if (there == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    size_t n = 0;
    for (size_t i = 0; i < s->n_files && c->running; i++) {
        wa_paths some = {0};
        if (wa_files_find(&some, c->folder, c->root, &patterns[i], 1, NULL) != WA_ERR_MISSING)
            there[n++] = patterns[i];
        wa_paths_release(&some);
    }
    wa_status status = n > 0 ? wa_files_find(out, c->folder, c->root, there, n, err)
                             : wa_files_find(out, c->folder, c->root, patterns, s->n_files, err);
    free(there);
    return status;
}

wa_status wa_campaign_files(wa_paths *out, const wa_campaign *c, size_t source, wa_error *err)
{
    const wa_source *s = &c->sources[source];
    wa_error e = {0};
    if (c->supply != NULL)
        return c->supply->list(out, c->supply->context, source, err);
    wa_status status = find_files(out, c, s, &e);
    if (status == WA_OK || err == NULL)
        return status;
    *err = e;
    snprintf(err->text, sizeof err->text, "source '%s': %.400s", s->name, e.text);
    return status;
}

wa_status wa_campaign_open_file(int *fd, const wa_campaign *c, const char *path, wa_error *err)
{
    if (c->supply != NULL)
        return c->supply->open(fd, c->supply->context, path, err);
    return wa_file_open(fd, c->folder, c->root, path, err);
}
