/* calibrations: what earlier dossiers say of an instrument, named by file and by digest */
#include "data/campaign_parts.h"

#include <stdlib.h>
#include <string.h>

static size_t source_named(const wa_campaign *c, const char *name)
{
    size_t i = 0;
    while (i < c->n_sources && strcmp(c->sources[i].name, name) != 0)
        i++;
    return i;
}

/* A source of the unit is the lidar's; any other says whose calibration it asks for. */
static void decode_serial(const wa_campaign *c, wa_calibration_use *u, const wa_node *node)
{
    wa_node serial = wa_node_child(node, "serial");
    const wa_value *lidar = wa_get(c->described, "lidar");
    bool of_unit = c->sources[u->source].role == WA_ROLE_UNIT;
    if (wa_node_there(&serial)) {
        u->serial = wa_node_text(&serial);
    } else if (of_unit) {
        const wa_node own = {node->d, node, "serial", 0, wa_get(lidar, "serial")};
        u->serial = wa_node_text(&own);
    } else {
        wa_node_need(node, "serial", "of the instrument whose calibration this is");
    }
    if (!wa_node_failed(node) && of_unit && strcmp(u->serial, wa_get_string(lidar, "serial")) != 0)
        wa_node_refuse(&serial, NULL, "the unit is '%s'", wa_get_string(lidar, "serial"));
}

static void decode_one(const wa_campaign *c, wa_calibration_use *u, const wa_node *node)
{
    static const char *const keys[] = {"source",  "file",      "sha256", "serial",
                                       "despite", "any_range", "note",   NULL};
    wa_node source = wa_node_child(node, "source"), file = wa_node_child(node, "file");
    wa_node digest = wa_node_child(node, "sha256"), despite = wa_node_child(node, "despite");
    wa_node any = wa_node_child(node, "any_range");
    wa_node_map(node, keys);
    wa_node_need(node, "source", "the source that it corrects, as \"lidar\"");
    wa_node_need(node, "file", "the data/calibration.json of a dossier");
    wa_node_need(node, "sha256", "that of the file, as in its dossier's manifest");
    if (wa_node_failed(node))
        return;
    char *name = wa_node_text(&source);
    u->file = wa_node_text(&file);
    u->sha256 = wa_node_text(&digest);
    u->any_range = wa_true(any.v);
    if (wa_node_there(&any) && wa_value_kind(any.v) != WA_BOOL)
        wa_node_refuse(&any, NULL, "true or false");
    if (wa_node_there(&despite))
        u->despite = wa_node_text(&despite);
    if (!wa_node_failed(node)) {
        u->source = source_named(c, name);
        if (u->source == c->n_sources)
            wa_node_refuse(&source, NULL, "there is no source '%s'", name);
    }
    free(name);
    if (wa_node_failed(node))
        return;
    if (!wa_sha256_good(u->sha256))
        wa_node_refuse(&digest, "that of the file, as in its dossier's manifest",
                       "a SHA-256 is written in 64 digits, 0 to 9 and a to f");
    decode_serial(c, u, node);
    wa_decode_path(c, &file, u->file);
}

void wa_decode_calibrations(wa_campaign *c, const wa_node *top)
{
    wa_node list = wa_node_child(top, "calibrations");
    size_t n = wa_node_list(&list);
    c->calibrations = wa_node_room(&list, n, sizeof *c->calibrations);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node item = wa_node_entry(&list, i);
        c->n_calibrations = i + 1;
        decode_one(c, &c->calibrations[i], &item);
    }
}

void wa_calibration_list_free(wa_calibration_use *list, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        free(list[i].file);
        free(list[i].sha256);
        free(list[i].serial);
        free(list[i].despite);
    }
    free(list);
}
