/* uses: earlier dossiers, named by place and by digest */
#include "data/campaign_parts.h"

#include <stdlib.h>
#include <string.h>

bool wa_sha256_good(const char *digits)
{
    return strlen(digits) == 64 && strspn(digits, "0123456789abcdef") == 64;
}

static void decode_use(const wa_campaign *c, wa_use *u, const wa_node *node)
{
    static const char *const keys[] = {"dossier", "sha256", "as", "note", NULL};
    wa_node dossier = wa_node_child(node, "dossier"), digest = wa_node_child(node, "sha256");
    wa_node as = wa_node_child(node, "as");
    wa_node_map(node, keys);
    wa_node_need(node, "dossier", "the folder of the dossier");
    wa_node_need(node, "sha256", "that of the dossier's data/result.json, as in its manifest");
    wa_node_need(node, "as", "the name that checks call it by, as \"last year\"");
    u->dossier = wa_node_text(&dossier);
    u->sha256 = wa_node_text(&digest);
    u->as = wa_node_text(&as);
    if (wa_node_failed(node))
        return;
    if (!wa_sha256_good(u->sha256))
        wa_node_refuse(&digest, "that of the dossier's data/result.json, as in its manifest",
                       "a SHA-256 is written in 64 digits, 0 to 9 and a to f");
    if (strlen(u->as) > 60 || !wa_is_clean(u->as, strlen(u->as)))
        wa_node_refuse(&as, NULL, "a name of a dossier is one line of at most 60 bytes");
    wa_decode_path(c, &dossier, u->dossier);
}

void wa_decode_uses(wa_campaign *c, const wa_node *top)
{
    wa_node uses = wa_node_child(top, "uses");
    size_t n = wa_node_list(&uses);
    c->uses = wa_node_room(&uses, n, sizeof *c->uses);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node item = wa_node_entry(&uses, i);
        c->n_uses = i + 1;
        decode_use(c, &c->uses[i], &item);
        for (size_t k = 0; k < i && !wa_node_failed(top); k++)
            if (strcmp(c->uses[k].as, c->uses[i].as) == 0)
                wa_node_refuse(&item, NULL, "two dossiers are used as '%s'", c->uses[i].as);
    }
}

void wa_use_list_free(wa_use *uses, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        free(uses[i].dossier);
        free(uses[i].sha256);
        free(uses[i].as);
    }
    free(uses);
}
