#include "windassay/campaign.h"

#include "data/campaign_parts.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static const char *const top_keys[] = {
    "interface", "title",   "report",      "lidar",     "period",    "phases",       "logbook",
    "roles",     "sources", "instruments", "disturbed", "tables",    "checks",       "sd_divisor",
    "uses",      "derive",  "note",        "stability", "agreement", "calibrations", NULL};

static char *copy_of(const wa_node *top, const char *s)
{
    char *copy = s == NULL ? NULL : strdup(s);
    if (s != NULL && copy == NULL)
        wa_node_no_memory(top);
    return copy;
}

static void decode_title(wa_campaign *c, const wa_node *top)
{
    wa_node title = wa_node_child(top, "title"), lidar = wa_node_child(top, "lidar");
    c->title = wa_node_text(&title);
    if (title.v != NULL || wa_node_failed(top))
        return;
    char text[160];
    snprintf(text, sizeof text, "Unit %.120s", wa_get_string(lidar.v, "serial"));
    c->title = copy_of(top, text);
}

/* One file name, beside the campaign file. */
static void decode_agreement(wa_campaign *c, const wa_node *top)
{
    wa_node node = wa_node_child(top, "agreement");
    if (node.v == NULL)
        return;
    c->agreement = wa_node_text(&node);
    if (c->agreement != NULL && (strchr(c->agreement, '/') != NULL || *c->agreement == '.'))
        wa_node_refuse(&node, "the name of a file beside the campaign: \"campaign.agreed.json\"",
                       "'%s' is no file name", c->agreement);
}

static void decode(wa_campaign *c, const wa_node *top)
{
    static const char *const divisors[] = {"N-1", "N", NULL};
    wa_node interface = wa_node_child(top, "interface");
    wa_node divisor = wa_node_child(top, "sd_divisor");
    double version = wa_node_number(&interface, 1);
    if (version < 1 || version > 1)
        wa_node_refuse(&interface, NULL, "interface %g is not known; this version knows 1",
                       version);
    if (wa_value_kind(top->v) != WA_MAP)
        wa_node_refuse(top, NULL, "the file must return a table with named entries");
    wa_node_map(top, top_keys);
    c->interface = 1;
    wa_decode_descriptions(top);
    decode_title(c, top);
    c->divisor_n = wa_node_choice(&divisor, divisors, 0) == 1;
    wa_decode_period(c, top);
    wa_decode_instruments(c, top);
    if (!wa_node_failed(top))
        wa_decode_sources(c, top);
    wa_decode_derive(c, top);
    wa_decode_phases(c, top);
    wa_decode_logbook(c, top);
    wa_decode_checks(c, top);
    wa_decode_tables(c, top);
    wa_decode_uses(c, top);
    wa_decode_supersedes(c, top);
    decode_agreement(c, top);
    wa_decode_calibrations(c, top);
}

wa_status wa_campaign_decode(wa_campaign **out, const wa_value *described, const char *folder,
                             const char *file, const char *root, const char *text, wa_error *err)
{
    wa_decoder d = {file, text, err, WA_OK};
    wa_node top = {&d, NULL, NULL, 0, described};
    wa_campaign *c = calloc(1, sizeof *c);
    if (c == NULL)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    c->folder = copy_of(&top, folder);
    c->file = copy_of(&top, file);
    c->root = copy_of(&top, root);
    c->described = wa_value_copy(described);
    if (c->described == NULL)
        wa_node_no_memory(&top);
    decode(c, &top);
    if (d.status != WA_OK) {
        wa_campaign_free(c);
        return d.status;
    }
    *out = c;
    return WA_OK;
}

static void free_texts(char **texts, size_t n)
{
    for (size_t i = 0; i < n; i++)
        free(texts[i]);
    free(texts);
}

static void channel_release(wa_channel *ch)
{
    char *const own[] = {ch->name,   ch->quantity,     ch->use,      ch->instrument, ch->positive,
                         ch->column, ch->mean,         ch->sd,       ch->min,        ch->max,
                         ch->count,  ch->availability, ch->resultant};
    for (size_t i = 0; i < sizeof own / sizeof *own; i++)
        free(own[i]);
    for (size_t i = 0; i < ch->n_flags; i++) {
        free(ch->flags[i].word);
        free(ch->flags[i].name);
    }
    for (size_t i = 0; i < ch->n_affine; i++)
        free(ch->affine[i].serial);
    free(ch->flags);
    free(ch->affine);
}

static void time_release(wa_time_rule *r)
{
    free(r->columns[0]);
    free(r->columns[1]);
    free(r->pattern);
    free(r->zone);
    for (size_t i = 0; i < r->n_clock; i++)
        free(r->clock[i].reason);
    free(r->clock);
}

static void layout_release(wa_layout *l)
{
    free(l->names_begin_with);
    free(l->encoding);
    for (size_t i = 0; i < l->n_missing; i++)
        free(l->missing[i].text);
    free(l->missing);
}

void wa_source_release(wa_source *s)
{
    free(s->name);
    free_texts(s->files, s->n_files);
    time_release(&s->time);
    layout_release(&s->layout);
    free(s->beam_column);
    free(s->range_column);
    free(s->ranges);
    for (size_t i = 0; i < s->n_channels; i++)
        channel_release(&s->channels[i]);
    free(s->channels);
    for (size_t i = 0; i < s->n_keep_if; i++)
        free(s->keep_if[i].reason);
    free(s->keep_if);
    free(s->expected);
    wa_value_free(s->prepare);
    wa_value_free(s->done_by_logger);
}

static void check_release(wa_check_entry *e)
{
    free(e->name);
    free(e->id);
    free(e->each);
    free(e->contract);
    free_texts(e->information, e->n_information);
    wa_value_free(e->parameters);
    wa_value_free(e->confirmed);
}

static void instrument_release(wa_instrument *p)
{
    free(p->name);
    for (size_t i = 0; i < p->n_fitted; i++)
        free(p->fitted[i].serial);
    free(p->fitted);
}

void wa_campaign_free(wa_campaign *c)
{
    if (c == NULL)
        return;
    for (size_t i = 0; i < c->n_sources; i++)
        wa_source_release(&c->sources[i]);
    for (size_t i = 0; i < c->n_phases; i++) {
        free(c->phases[i].name);
        wa_value_free(c->phases[i].more);
    }
    for (size_t i = 0; i < c->n_logbook; i++) {
        free(c->logbook[i].text);
        free(c->logbook[i].by);
        free_texts(c->logbook[i].exclude, c->logbook[i].n_exclude);
    }
    for (size_t i = 0; i < c->n_checks; i++)
        check_release(&c->checks[i]);
    for (size_t i = 0; i < c->n_instruments; i++)
        instrument_release(&c->instruments[i]);
    for (size_t i = 0; i < c->n_tables; i++) {
        free(c->tables[i].name);
        free(c->tables[i].file);
    }
    wa_use_list_free(c->uses, c->n_uses);
    wa_calibration_list_free(c->calibrations, c->n_calibrations);
    wa_use_release(&c->supersedes);
    free(c->sources);
    free(c->phases);
    free(c->logbook);
    free(c->checks);
    free(c->instruments);
    for (size_t i = 0; i < c->n_derived; i++)
        wa_derived_release(&c->derived[i]);
    free(c->derived);
    free(c->tables);
    free(c->title);
    free(c->folder);
    free(c->file);
    free(c->root);
    free(c->agreement);
    wa_value_free(c->described);
    free(c);
}

wa_status wa_root_find(char **root, const char *folder, wa_error *err)
{
    char *path = realpath(folder, NULL);
    if (path == NULL)
        return wa_fail_at(err, errno == ENOENT ? WA_ERR_MISSING : WA_ERR_IO, folder, 0, 0,
                          "cannot find the folder: %s", strerror(errno));
    for (;;) {
        wa_text mark = WA_TEXT_INIT;
        struct stat st;
        wa_text_printf(&mark, "%s/fleet.lua", path);
        bool found = !wa_text_failed(&mark) && lstat(mark.at, &st) == 0 && S_ISREG(st.st_mode);
        wa_text_release(&mark);
        if (found) {
            *root = path;
            return WA_OK;
        }
        char *slash = strrchr(path, '/');
        if (slash == NULL || slash[1] == '\0')
            break;
        slash[slash == path] = '\0'; /* the last folder above is "/" */
    }
    free(path);
    *root = NULL;
    return WA_OK;
}
