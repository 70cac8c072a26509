/* lidar, report, disturbed: kept as they are written; looked through for slips of the pen */
#include "data/campaign_parts.h"

#include <stdlib.h>
#include <string.h>

static void check_lidar(const wa_node *top)
{
    static const char *const keys[] = {"serial",        "kind",    "sign",   "firmware",
                                       "position",      "heading", "ranges", "beams",
                                       "configuration", "owner",   "note",   NULL};
    static const char *const position_keys[] = {"east",   "north", "lens_height",
                                                "height", "note",  NULL};
    static const char *const beam_keys[] = {"azimuth", "elevation", "note", NULL};
    static const char *const signs[] = {"both", "positive", NULL};
    wa_node_need(top, "lidar", "lidar = { serial = \"...\" }");
    wa_node lidar = wa_node_child(top, "lidar"), serial = wa_node_child(&lidar, "serial");
    static const char *const headings[] = {"fit", "from phase", NULL};
    wa_node heading = wa_node_child(&lidar, "heading");
    wa_node sign = wa_node_child(&lidar, "sign"), position = wa_node_child(&lidar, "position");
    wa_node beams = wa_node_child(&lidar, "beams");
    wa_node_map(&lidar, keys);
    wa_node_need(&lidar, "serial", NULL);
    free(wa_node_text(&serial));
    wa_node_choice(&sign, signs, 0);
    if (wa_string_of(heading.v) != NULL)
        wa_node_choice(&heading, headings, 0);
    wa_node_map(&position, position_keys);
    size_t n = wa_node_list(&beams);
    for (size_t i = 0; i < n; i++) {
        wa_node beam = wa_node_entry(&beams, i);
        wa_node_map(&beam, beam_keys);
        wa_node_need(&beam, "azimuth", "degree");
        wa_node_need(&beam, "elevation", "degree");
    }
}

static void check_report(const wa_node *top)
{
    static const char *const keys[] = {
        "number",      "revision", "status",     "supersedes",       "reason",         "laboratory",
        "address",     "place",    "customer",   "customer_contact", "item_condition", "received",
        "issued",      "sampling", "deviations", "external",         "measured_by",    "checked_by",
        "approved_by", "note",     NULL};
    static const char *const states[] = {"preliminary", "final", NULL};
    wa_node report = wa_node_child(top, "report"), status = wa_node_child(&report, "status");
    wa_node revision = wa_node_child(&report, "revision");
    wa_node_map(&report, keys);
    wa_node_choice(&status, states, 0);
    wa_node_whole(&revision, 0, 100000, 0);
}

/* A sector in degrees, or a thing whose sector follows from where it stands and how large it is. */
static void check_disturber(const wa_node *node)
{
    static const char *const keys[] = {"from",           "to",     "reason", "source", "position",
                                       "rotor_diameter", "height", "width",  NULL};
    static const char *const position_keys[] = {"east", "north", NULL};
    wa_node from = wa_node_child(node, "from"), to = wa_node_child(node, "to");
    wa_node reason = wa_node_child(node, "reason"), position = wa_node_child(node, "position");
    wa_node rotor = wa_node_child(node, "rotor_diameter"), height = wa_node_child(node, "height");
    wa_node width = wa_node_child(node, "width");
    wa_node_map(node, keys);
    wa_node_need(node, "reason", NULL);
    free(wa_node_text(&reason));
    double a = wa_node_number(&from, 0), b = wa_node_number(&to, 0);
    bool sector = from.v != NULL && to.v != NULL;
    bool size = rotor.v != NULL || (height.v != NULL && width.v != NULL);
    if (a < 0 || a > 360 || b < 0 || b > 360)
        wa_node_refuse(node, NULL, "a sector is stated in degrees from 0 to 360");
    if (sector == (position.v != NULL && size))
        wa_node_refuse(node,
                       "{ from =, to = } or { position =, rotor_diameter = } or "
                       "{ position =, height =, width = }",
                       "it needs a sector, or a position and a size");
    wa_node_map(&position, position_keys);
    if (position.v != NULL) {
        wa_node_need(&position, "east", "m");
        wa_node_need(&position, "north", "m");
    }
    const wa_node sizes[] = {rotor, height, width};
    for (size_t i = 0; i < 3; i++)
        if (wa_node_number(&sizes[i], 1) <= 0)
            wa_node_refuse(&sizes[i], NULL, "a size must be above 0");
}

static void check_disturbed(const wa_node *top)
{
    wa_node disturbed = wa_node_child(top, "disturbed");
    size_t n = wa_node_list(&disturbed);
    for (size_t i = 0; i < n && !wa_node_failed(top); i++) {
        wa_node item = wa_node_entry(&disturbed, i);
        check_disturber(&item);
    }
}

void wa_decode_descriptions(const wa_node *top)
{
    check_lidar(top);
    check_report(top);
    check_disturbed(top);
}
