/* instruments: what was fitted when, and what its certificates make of the data
 *
 * A certificate says y = slope * x + offset of the raw signal x. What the data hold is said by
 * in_data: the logger's own line (undone, then the certificate's applied), "certificate" (its
 * values already), or "signal" (x itself). All of it is one line for each span of time:
 *   logger's line a x + b:  x = (d - b) / a,  y = (slope / a) d + (offset - (slope / a) b)
 */
#include "data/campaign_parts.h"
#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static wa_node place_of(const wa_node *instruments, const char *name)
{
    return wa_node_child(instruments, name);
}

/* "2025-09-14" */
static void check_date(const wa_node *node)
{
    int64_t t;
    char text[32];
    const char *s = wa_string_of(node->v);
    if (!wa_node_there(node))
        return;
    snprintf(text, sizeof text, "%.12sT00:00:00Z", s == NULL ? "" : s);
    if (wa_instant_parse(&t, text, strlen(text), NULL) != WA_OK)
        wa_node_refuse(node, "such as \"2025-09-14\"", "it is not a date");
}

/* A number, { 0.05, "m/s" }, or pairs of value and standard uncertainty. */
static void check_uncertainty(const wa_node *node)
{
    double number;
    wa_node second = wa_node_position(node, 2);
    if (!wa_node_there(node) || wa_number_of(node->v, &number) || wa_string_of(second.v) != NULL)
        return;
    size_t n = wa_node_list(node);
    double last = -(double)INFINITY;
    for (size_t i = 0; i < n && !wa_node_failed(node); i++) {
        wa_node pair = wa_node_entry(node, i);
        wa_node first = wa_node_position(&pair, 1), other = wa_node_position(&pair, 2);
        double at = 0, u = -1;
        bool numbers = wa_number_of(first.v, &at) && wa_number_of(other.v, &u);
        if (!numbers || wa_count(pair.v) != 2 || at <= last || u < 0)
            wa_node_refuse(node, "{ { 4, 0.045 }, { 16, 0.060 } }",
                           "pairs of value and standard uncertainty, in order of value");
        last = at;
    }
}

static void check_calibration(const wa_node *node)
{
    static const char *const keys[] = {
        "slope",  "offset",  "certificate", "date",       "valid_to", "standard_uncertainty",
        "lowest", "highest", "unit",        "laboratory", "note",     NULL};
    wa_node date = wa_node_child(node, "date"), valid_to = wa_node_child(node, "valid_to");
    wa_node u = wa_node_child(node, "standard_uncertainty");
    wa_node slope = wa_node_child(node, "slope"), offset = wa_node_child(node, "offset");
    if (!wa_node_there(node))
        return;
    wa_node_map(node, keys);
    check_date(&date);
    check_date(&valid_to);
    check_uncertainty(&u);
    if ((slope.v == NULL) != (offset.v == NULL))
        wa_node_refuse(node, NULL, "'slope' and 'offset' come together");
    double x = wa_node_number(&slope, 1);
    if (!(x > 0 || x < 0))
        wa_node_refuse(&slope, NULL, "a slope of 0 turns every signal into one value");
    wa_node_number(&offset, 0);
}

static void check_in_data(const wa_node *fitted)
{
    static const char *const keys[] = {"slope", "offset", NULL};
    static const char *const words[] = {"certificate", "signal", NULL};
    wa_node in_data = wa_node_child(fitted, "in_data");
    wa_node calibration = wa_node_child(fitted, "calibration");
    bool line = wa_get(calibration.v, "slope") != NULL;
    if (in_data.v == NULL) {
        if (line)
            wa_node_refuse(fitted,
                           "what do the data hold? in_data = \"certificate\" (its values), "
                           "\"signal\" (raw), or the logger's own { slope =, offset = }",
                           "the calibration has a slope, but 'in_data' is not stated");
        return;
    }
    if (!line && wa_node_there(&in_data))
        wa_node_refuse(&in_data, NULL, "'in_data' needs a calibration with slope and offset");
    if (wa_string_of(in_data.v) != NULL) {
        wa_node_choice(&in_data, words, 0);
        return;
    }
    wa_node slope = wa_node_child(&in_data, "slope"), offset = wa_node_child(&in_data, "offset");
    wa_node_map(&in_data, keys);
    wa_node_need(&in_data, "slope", NULL);
    wa_node_need(&in_data, "offset", NULL);
    double x = wa_node_number(&slope, 1);
    wa_node_number(&offset, 0);
    if (!(x > 0 || x < 0))
        wa_node_refuse(&slope, NULL, "a slope of 0 cannot be undone");
}

static void decode_fitted(wa_fitted *f, const wa_node *node, const wa_fitted *before)
{
    static const char *const keys[] = {"serial",  "from", "to", "calibration", "calibration_after",
                                       "in_data", "note", NULL};
    wa_node serial = wa_node_child(node, "serial"), from = wa_node_child(node, "from");
    wa_node to = wa_node_child(node, "to"), calibration = wa_node_child(node, "calibration");
    wa_node after = wa_node_child(node, "calibration_after");
    wa_node_map(node, keys);
    wa_node_need(node, "serial", NULL);
    wa_node_need(node, "from", NULL);
    f->serial = wa_node_text(&serial);
    f->from = wa_node_instant(&from, INT64_MIN);
    f->to = wa_node_instant(&to, INT64_MAX);
    if (f->from >= f->to)
        wa_node_refuse(node, NULL, "'from' is not before 'to'");
    if (before != NULL && (f->from < before->to && before->to != INT64_MAX))
        wa_node_refuse(node, NULL, "it was fitted before '%s' was taken down", before->serial);
    if (before != NULL && f->from <= before->from)
        wa_node_refuse(node, NULL, "the instruments are not in order of time");
    check_calibration(&calibration);
    check_calibration(&after);
    check_in_data(node);
}

/* accepted = { as = "last year" }: the lidar's own dossier, one of those that the campaign uses. */
static void check_accepted(const wa_node *node, const wa_node *top)
{
    static const char *const keys[] = {"as", "check", "corrected", NULL};
    wa_node as = wa_node_child(node, "as"), check = wa_node_child(node, "check");
    wa_node corrected = wa_node_child(node, "corrected"), uses = wa_node_child(top, "uses");
    if (!wa_node_there(node))
        return;
    wa_node_map(node, keys);
    wa_node_need(node, "as", "the name of an entry of `uses`");
    char *name = wa_node_text(&as), *id = wa_node_text(&check);
    bool found = false;
    for (size_t i = 0; name != NULL && i < wa_count(uses.v); i++) {
        const char *used = wa_get_string(wa_at(uses.v, i), "as");
        found = found || (used != NULL && strcmp(used, name) == 0);
    }
    if (name != NULL && !found)
        wa_node_refuse(&as, "uses = { { dossier =, sha256 =, as = } }",
                       "the campaign uses no dossier as '%.60s'", name);
    if (wa_node_there(&corrected) && wa_value_kind(corrected.v) != WA_BOOL)
        wa_node_refuse(&corrected, NULL, "true or false is meant");
    free(name);
    free(id);
}

static void decode_place(wa_instrument *p, const wa_node *node, const wa_node *top)
{
    static const char *const keys[] = {
        "class",  "mounting", "finial", "data_acquisition", "linearity", "fitted", "kind",
        "height", "boom",     "note",   "repeatability",    "accepted",  NULL};
    wa_node fitted = wa_node_child(node, "fitted");
    wa_node_map(node, keys);
    wa_node accepted = wa_node_child(node, "accepted");
    check_accepted(&accepted, top);
    wa_node_need(node, "fitted", "fitted = { { serial = \"A-3391\", from = \"...\" } }");
    if (!wa_node_failed(node) && !wa_name_good(node->key))
        wa_node_refuse(node, NULL, "'%.64s' cannot be the name of an instrument", node->key);
    if (!wa_node_failed(node) && (p->name = strdup(node->key)) == NULL)
        wa_node_no_memory(node);
    size_t n = wa_node_list(&fitted);
    if (n == 0)
        wa_node_refuse(&fitted, NULL, "nothing is fitted");
    p->fitted = wa_node_room(&fitted, n, sizeof *p->fitted);
    for (size_t i = 0; i < n && !wa_node_failed(node); i++) {
        wa_node item = wa_node_entry(&fitted, i);
        p->n_fitted = i + 1;
        decode_fitted(&p->fitted[i], &item, i > 0 ? &p->fitted[i - 1] : NULL);
        if (i > 0 && p->fitted[i - 1].to == INT64_MAX)
            p->fitted[i - 1].to = p->fitted[i].from;
    }
}

void wa_decode_instruments(wa_campaign *c, const wa_node *top)
{
    wa_node instruments = wa_node_child(top, "instruments");
    size_t n = wa_node_map(&instruments, NULL);
    c->instruments = wa_node_room(&instruments, n, sizeof *c->instruments);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node entry = wa_node_entry(&instruments, i);
        c->n_instruments = i + 1;
        decode_place(&c->instruments[i], &entry, top);
    }
}

bool wa_holds_signal(const wa_node *top, const char *instrument, const char **unit)
{
    wa_node instruments = wa_node_child(top, "instruments");
    wa_node place = place_of(&instruments, instrument), fitted = wa_node_child(&place, "fitted");
    bool signal = false;
    for (size_t i = 0; i < wa_count(fitted.v); i++) {
        const wa_value *f = wa_at(fitted.v, i);
        const char *in_data = wa_get_string(f, "in_data");
        signal = signal || (in_data != NULL && strcmp(in_data, "signal") == 0);
        if (wa_get_string(wa_get(f, "calibration"), "unit") != NULL)
            *unit = wa_get_string(wa_get(f, "calibration"), "unit");
    }
    return signal;
}

/* The line that makes data to the certificate's values. */
static void line_of(wa_affine_span *a, const wa_value *fitted)
{
    const wa_value *calibration = wa_get(fitted, "calibration"),
                   *in_data = wa_get(fitted, "in_data");
    const char *word = wa_string_of(in_data);
    double slope = 1, offset = 0, used_slope = 1, used_offset = 0;
    wa_number_of(wa_get(calibration, "slope"), &slope);
    wa_number_of(wa_get(calibration, "offset"), &offset);
    if (in_data == NULL || (word != NULL && strcmp(word, "certificate") == 0)) {
        a->slope = 1;
        a->offset = 0;
    } else if (word != NULL) {
        a->slope = slope;
        a->offset = offset;
    } else {
        wa_number_of(wa_get(in_data, "slope"), &used_slope);
        wa_number_of(wa_get(in_data, "offset"), &used_offset);
        a->slope = slope / used_slope;
        a->offset = fma(-a->slope, used_offset, offset);
    }
    a->lowest = -(double)INFINITY;
    a->highest = (double)INFINITY;
    wa_number_of(wa_get(calibration, "lowest"), &a->lowest);
    wa_number_of(wa_get(calibration, "highest"), &a->highest);
}

static void decode_span(wa_channel *ch, wa_affine_span *a, const wa_node *fitted, bool signal)
{
    const char *serial = wa_get_string(fitted->v, "serial");
    const char *in_data = wa_get_string(fitted->v, "in_data");
    const char *unit = wa_get_string(wa_get(fitted->v, "calibration"), "unit");
    wa_node from = wa_node_child(fitted, "from"), to = wa_node_child(fitted, "to");
    line_of(a, fitted->v);
    a->from = wa_node_instant(&from, INT64_MIN);
    a->to = wa_node_instant(&to, INT64_MAX);
    a->serial = strdup(serial == NULL ? "" : serial);
    if (a->serial == NULL)
        wa_node_no_memory(fitted);
    if (signal && (in_data == NULL || strcmp(in_data, "signal") != 0))
        wa_node_refuse(fitted, NULL, "some of its data are said to be the signal, these are not");
    if (ch->kind == WA_CHANNEL_DIRECTION && (a->slope < 1 || a->slope > 1))
        wa_node_refuse(fitted, "its offset can be corrected",
                       "a direction cannot be stretched by a slope of %g", a->slope);
    wa_unit stated;
    wa_error e = {0};
    if (unit == NULL || wa_node_failed(fitted))
        return;
    if (wa_unit_parse(&stated, unit, &e) != WA_OK)
        wa_node_pass(fitted, &e);
    else if (!wa_unit_equal(&stated, &ch->unit))
        wa_node_refuse(fitted, NULL, "the certificate is in '%s'; '%s' is kept in '%s'", unit,
                       ch->name, ch->unit.text);
}

void wa_decode_history(wa_channel *ch, const wa_node *node, const wa_node *top)
{
    if (ch->instrument == NULL || wa_node_failed(node))
        return;
    const char *unit = NULL;
    bool signal = wa_holds_signal(top, ch->instrument, &unit);
    wa_node instruments = wa_node_child(top, "instruments");
    wa_node place = place_of(&instruments, ch->instrument),
            fitted = wa_node_child(&place, "fitted");
    size_t n = wa_count(fitted.v);
    ch->affine = wa_node_room(node, n, sizeof *ch->affine);
    for (size_t i = 0; i < n && !wa_node_failed(node); i++) {
        wa_node item = wa_node_entry(&fitted, i);
        ch->n_affine = i + 1;
        decode_span(ch, &ch->affine[i], &item, signal);
        if (i > 0 && ch->affine[i - 1].to > ch->affine[i].from)
            ch->affine[i - 1].to = ch->affine[i].from;
    }
}
