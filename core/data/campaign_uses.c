/* uses: earlier dossiers, named by place and by digest */
#include "data/campaign_parts.h"

#include <stdlib.h>
#include <string.h>

bool wa_sha256_good(const char *digits)
{
    return strlen(digits) == 64 && strspn(digits, "0123456789abcdef") == 64;
}

static void check_digest(const char *sha256, const wa_node *node)
{
    if (!wa_sha256_good(sha256))
        wa_node_refuse(node, "that of the dossier's data/result.json, as in its manifest",
                       "a SHA-256 is written in 64 digits, 0 to 9 and a to f");
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
    check_digest(u->sha256, &digest);
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

/* What a report replaces, and why: report = { revision =, supersedes = { sha256 =, dossier = },
 * reason = }. */
void wa_decode_supersedes(wa_campaign *c, const wa_node *top)
{
    static const char *const keys[] = {"dossier", "sha256", NULL};
    wa_node report = wa_node_child(top, "report"), node = wa_node_child(&report, "supersedes");
    wa_node dossier = wa_node_child(&node, "dossier"), digest = wa_node_child(&node, "sha256");
    wa_node reason = wa_node_child(&report, "reason");
    if (node.v == NULL) {
        if (reason.v != NULL)
            wa_node_refuse(&reason, "supersedes = { sha256 = } says what is replaced",
                           "a reason without what it is a reason for");
        return;
    }
    wa_node_map(&node, keys);
    wa_node_need(&node, "sha256", "that of the earlier data/result.json, as in its manifest");
    wa_node_need(&report, "reason", "why the earlier report is replaced");
    wa_node_need(&report, "revision", "the number of this revision");
    c->supersedes.sha256 = wa_node_text(&digest);
    c->supersedes.as = wa_node_text(&reason);
    if (dossier.v != NULL)
        c->supersedes.dossier = wa_node_text(&dossier);
    if (wa_node_failed(top))
        return;
    check_digest(c->supersedes.sha256, &digest);
    if (c->supersedes.dossier != NULL)
        wa_decode_path(c, &dossier, c->supersedes.dossier);
}

void wa_use_release(wa_use *u)
{
    free(u->dossier);
    free(u->sha256);
    free(u->as);
}

void wa_use_list_free(wa_use *uses, size_t n)
{
    for (size_t i = 0; i < n; i++)
        wa_use_release(&uses[i]);
    free(uses);
}
