#include "data/supply.h"

#include <stdio.h>

wa_status wa_campaign_files(wa_paths *out, const wa_campaign *c, size_t source, wa_error *err)
{
    const wa_source *s = &c->sources[source];
    wa_error e = {0};
    if (c->supply != NULL)
        return c->supply->list(out, c->supply->context, source, err);
    wa_status status =
        wa_files_find(out, c->folder, c->root, (const char *const *)s->files, s->n_files, &e);
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
