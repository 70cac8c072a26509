/* layout of a source's files: header, delimiter, decimal, encoding, missing */
#include "data/campaign_parts.h"

#include <stdlib.h>
#include <string.h>

static void decode_header(wa_layout *l, const wa_node *source)
{
    static const char *const keys[] = {"names", "units", "first_row", "names_begin_with", NULL};
    wa_node header = wa_node_child(source, "header");
    wa_node names = wa_node_child(&header, "names"), units = wa_node_child(&header, "units");
    wa_node first = wa_node_child(&header, "first_row");
    wa_node begin = wa_node_child(&header, "names_begin_with");
    enum { LAST = 100000 };
    wa_node_map(&header, keys);
    l->names_begin_with = wa_node_text(&begin);
    l->names_row = begin.v != NULL ? 0 : wa_node_whole(&names, 1, LAST, 1);
    l->units_row = wa_node_whole(&units, 2, LAST, 0);
    l->first_row = wa_node_whole(&first, 2, LAST, 0);
    if (begin.v != NULL && names.v != NULL)
        wa_node_refuse(&header, NULL, "'names' and 'names_begin_with' both say where names are");
    if (l->units_row > 0 && l->units_row <= l->names_row)
        wa_node_refuse(&units, NULL, "the row of units does not follow the row of names");
    if (l->first_row > 0 && (l->first_row <= l->names_row || l->first_row <= l->units_row))
        wa_node_refuse(&first, NULL, "the first row of data does not follow the header");
}

static char decode_delimiter(const wa_node *node)
{
    static const char *const delimiters[] = {",", ";", "\t", "|", " ", NULL};
    return delimiters[wa_node_choice(node, delimiters, 0)][0];
}

static void decode_missing(wa_layout *l, const wa_node *source)
{
    wa_node missing = wa_node_child(source, "missing");
    size_t n = wa_node_list(&missing);
    l->missing = wa_node_room(&missing, n, sizeof *l->missing);
    for (size_t i = 0; i < n && !wa_node_failed(&missing); i++) {
        wa_node item = wa_node_entry(&missing, i);
        const char *text = wa_string_of(item.v);
        if (text != NULL && text[0] == '\0')
            continue; /* the empty field is always missing */
        wa_missing *m = &l->missing[l->n_missing++];
        m->is_number = text == NULL;
        if (m->is_number)
            m->number = wa_node_number(&item, 0);
        else
            m->text = wa_node_text(&item);
    }
}

void wa_decode_layout(wa_source *s, const wa_node *node)
{
    static const char *const decimals[] = {".", ",", NULL};
    static const char *const encodings[] = {"utf-8", "latin-1", NULL};
    wa_layout *l = &s->layout;
    wa_node delimiter = wa_node_child(node, "delimiter"), decimal = wa_node_child(node, "decimal");
    wa_node encoding = wa_node_child(node, "encoding");
    decode_header(l, node);
    l->delimiter = decode_delimiter(&delimiter);
    l->decimal = decimals[wa_node_choice(&decimal, decimals, 0)][0];
    if (l->delimiter == l->decimal)
        wa_node_refuse(&decimal, "such files have delimiter = \";\"",
                       "decimal and delimiter are both '%c'", l->decimal);
    l->encoding = strdup(encodings[wa_node_choice(&encoding, encodings, 0)]);
    if (l->encoding == NULL)
        wa_node_no_memory(node);
    decode_missing(l, node);
}
