#include "run/crate.h"

#include "windassay/json.h"

#include <stdio.h>
#include <string.h>

#define CRATE   "https://w3id.org/ro/crate/1.1"
#define PROFILE "https://w3id.org/ro/wfrun/process/0.5"
#define ACTION  "#run"

/** The graph that grows, and lists of references into it. The first failure (memory) sticks. */
typedef struct crate {
    wa_value *graph, *parts, *objects, *results;
    bool failed;
} crate;

/* ---- entities ------------------------------------------------------------------------------- */

static wa_value *ref(const char *id)
{
    wa_value *v = wa_map();
    if (wa_map_set(v, "@id", wa_string(id)))
        return v;
    wa_value_free(v);
    return NULL;
}

static wa_value *types(const char *type, const char *other)
{
    if (other == NULL)
        return wa_string(type);
    wa_value *list = wa_list();
    if (wa_list_add(list, wa_string(type)) && wa_list_add(list, wa_string(other)))
        return list;
    wa_value_free(list);
    return NULL;
}

static void set(crate *c, wa_value *v, const char *key, wa_value *item)
{
    c->failed = !wa_map_set(v, key, item) || c->failed;
}

static wa_value *entity(crate *c, const char *id, const char *type, const char *other,
                        const char *name)
{
    wa_value *v = wa_map();
    set(c, v, "@id", wa_string(id));
    set(c, v, "@type", types(type, other));
    if (name != NULL)
        set(c, v, "name", wa_string(name));
    return v;
}

static void add(crate *c, wa_value *list, wa_value *item)
{
    c->failed = !wa_list_add(list, item) || c->failed;
}

/* ---- names of files ------------------------------------------------------------------------- */

/* A path as a relative URI (RFC 3986): all but unreserved characters and the slash in percent. */
static void add_uri(wa_text *t, const char *path)
{
    static const char plain[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
    for (const char *s = path; *s != '\0'; s++)
        if (strchr(plain, *s) != NULL)
            wa_text_add_char(t, *s);
        else
            wa_text_printf(t, "%%%02X", (unsigned)(unsigned char)*s);
}

static int nibble(char c)
{
    return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : 0;
}

/* A file that lies elsewhere, named by its digest: ni:///sha-256;... (RFC 6920). */
static void add_ni(wa_text *t, const char *sha256)
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    unsigned held = 0, bits = 0;
    wa_text_add(t, "ni:///sha-256;");
    for (const char *s = sha256; *s != '\0'; s++) {
        held = held << 4 | (unsigned)nibble(*s);
        bits += 4;
        if (bits >= 6) {
            bits -= 6;
            wa_text_add_char(t, digits[held >> bits & 63]);
        }
    }
    if (bits > 0)
        wa_text_add_char(t, digits[held << (6 - bits) & 63]);
}

static const char *format_of(const char *path)
{
    static const struct {
        const char *ending, *format;
    } known[] = {{".json", "application/json"},
                 {".csv", "text/csv"},
                 {".lua", "text/x-lua"},
                 {".html", "text/html"},
                 {".svg", "image/svg+xml"},
                 {".gz", "application/gzip"},
                 {".xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}};
    size_t n = strlen(path);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        size_t m = strlen(known[i].ending);
        if (n > m && strcmp(path + n - m, known[i].ending) == 0)
            return known[i].format;
    }
    return "application/octet-stream";
}

/* ---- data entities -------------------------------------------------------------------------- */

static bool begins(const char *text, const char *with)
{
    return strncmp(text, with, strlen(with)) == 0;
}

/* A file of the payload: scripts and what was given were used, the rest was made. */
static void add_file(crate *c, const char *path)
{
    wa_text uri = WA_TEXT_INIT;
    bool script = begins(path, "scripts/"), used = script || begins(path, "given/");
    add_uri(&uri, path);
    c->failed = c->failed || wa_text_failed(&uri);
    const char *id = wa_text_string(&uri);
    wa_value *v = entity(c, id, "File", script ? "SoftwareSourceCode" : NULL, path);
    set(c, v, "encodingFormat", wa_string(format_of(path)));
    if (strcmp(path, WA_DOSSIER_RUN) == 0)
        set(c, v, "description",
            wa_string("version, compiler, host and clock of the run: listed, never compared"));
    add(c, c->graph, v);
    add(c, c->parts, ref(id));
    add(c, used ? c->objects : c->results, ref(id));
    wa_text_release(&uri);
}

static bool is_there(const wa_value *refs, const char *id)
{
    for (size_t i = 0; i < wa_count(refs); i++) {
        const char *own = wa_get_string(wa_at(refs, i), "@id");
        if (own != NULL && strcmp(own, id) == 0)
            return true;
    }
    return false;
}

/* An input file, which need not be in the dossier: known by its digest; equal files are one. */
static void add_input(crate *c, const wa_value *input)
{
    const char *path = wa_get_string(input, "path"), *sha256 = wa_get_string(input, "sha256");
    wa_text uri = WA_TEXT_INIT;
    if (path == NULL || sha256 == NULL)
        return;
    add_ni(&uri, sha256);
    c->failed = c->failed || wa_text_failed(&uri);
    const char *id = wa_text_string(&uri);
    if (!is_there(c->objects, id)) {
        wa_value *v = entity(c, id, "File", NULL, path);
        double bytes = 0;
        char text[32];
        wa_number_of(wa_get(input, "bytes"), &bytes);
        snprintf(text, sizeof text, "%.0f", bytes);
        set(c, v, "contentSize", wa_string(text));
        set(c, v, "encodingFormat", wa_string(format_of(path)));
        set(c, v, "sha256", wa_string(sha256));
        add(c, c->graph, v);
        add(c, c->parts, ref(id));
        add(c, c->objects, ref(id));
    }
    wa_text_release(&uri);
}

/* ---- who, with what, when ------------------------------------------------------------------- */

static const char *declared(const wa_value *record, const char *key)
{
    return wa_get_string(wa_get(wa_get(record, "campaign"), "report"), key);
}

/* The laboratory, else who measured; NULL where neither is declared. */
static const char *add_agent(crate *c, const wa_value *record)
{
    const char *laboratory = declared(record, "laboratory"), *by = declared(record, "measured_by");
    if (laboratory != NULL) {
        add(c, c->graph, entity(c, "#laboratory", "Organization", NULL, laboratory));
        return "#laboratory";
    }
    if (by == NULL)
        return NULL;
    add(c, c->graph, entity(c, "#measured_by", "Person", NULL, by));
    return "#measured_by";
}

static void add_action(crate *c, const wa_value *record)
{
    wa_value *v = entity(c, ACTION, "CreateAction", NULL, "windassay run");
    const char *agent = add_agent(c, record);
    set(c, v, "description",
        wa_string("computed the results from inputs and scripts; when and where is in run.json"));
    set(c, v, "instrument", ref("#windassay"));
    if (agent != NULL)
        set(c, v, "agent", ref(agent));
    set(c, v, "object", c->objects);
    set(c, v, "result", c->results);
    set(c, v, "actionStatus", ref("http://schema.org/CompletedActionStatus"));
    c->objects = c->results = NULL;
    add(c, c->graph, v);
    v = entity(c, "#windassay", "SoftwareApplication", NULL, "windassay");
    set(c, v, "softwareVersion", wa_string(WA_VERSION));
    set(c, v, "description",
        wa_string("a scripting environment for reproducible acceptance analyses of wind data"));
    add(c, c->graph, v);
}

/* The day that the report declares, else the end of the period: never today's. */
static void set_dates(crate *c, wa_value *root, const wa_value *record)
{
    const wa_value *period = wa_get(wa_get(record, "campaign"), "period");
    const char *from = wa_get_string(period, "from"), *to = wa_get_string(period, "to");
    char day[11] = "";
    wa_text coverage = WA_TEXT_INIT;
    snprintf(day, sizeof day, "%.10s", to == NULL ? "" : to);
    wa_text_printf(&coverage, "%s/%s", from == NULL ? ".." : from, to == NULL ? ".." : to);
    c->failed = c->failed || wa_text_failed(&coverage);
    set(c, root, "datePublished", wa_string(day));
    set(c, root, "temporalCoverage", wa_string(wa_text_string(&coverage)));
    wa_text_release(&coverage);
}

static void add_head(crate *c)
{
    wa_value *v = entity(c, WA_CRATE_FILE, "CreativeWork", NULL, NULL);
    set(c, v, "about", ref("./"));
    set(c, v, "conformsTo", ref(CRATE));
    add(c, c->graph, v);
}

/* The root comes second; its parts are known when all files were added. */
static void add_root(crate *c, const wa_value *record)
{
    const char *title = wa_get_string(wa_get(record, "campaign"), "title");
    const char *sentence = wa_get_string(record, "sentence");
    wa_value *v = entity(c, "./", "Dataset", NULL, title == NULL ? "a dossier" : title);
    set(c, v, "description",
        wa_string(sentence == NULL ? "results of an acceptance analysis" : sentence));
    set(c, v, "conformsTo", ref(PROFILE));
    set_dates(c, v, record);
    set(c, v, "license", ref("#terms"));
    set(c, v, "mentions", ref(ACTION));
    if (declared(record, "number") != NULL)
        set(c, v, "identifier", wa_string(declared(record, "number")));
    set(c, v, "hasPart", c->parts);
    c->parts = NULL;
    add(c, c->graph, v);
    v = entity(c, PROFILE, "CreativeWork", NULL, "Process Run Crate");
    set(c, v, "version", wa_string("0.5"));
    add(c, c->graph, v);
    v = entity(c, "#terms", "CreativeWork", NULL, "Terms");
    set(c, v, "description",
        wa_string("no licence is declared: the rights to data and report are what laboratory and "
                  "customer agreed"));
    add(c, c->graph, v);
}

static wa_status write(wa_text *out, crate *c, wa_error *err)
{
    wa_value *whole = wa_map(), *context = wa_list();
    add(c, context, wa_string(CRATE "/context"));
    add(c, context, wa_string("https://w3id.org/ro/terms/workflow-run/context"));
    set(c, whole, "@context", context);
    set(c, whole, "@graph", c->graph);
    c->graph = NULL;
    wa_status s = c->failed ? wa_fail(err, WA_ERR_NOMEM, "out of memory")
                            : wa_json_write(out, whole, WA_JSON_READABLE, err);
    wa_value_free(whole);
    return s;
}

wa_status wa_crate_write(wa_text *out, const wa_value *record, const wa_dossier *d, wa_error *err)
{
    crate c = {.graph = wa_list(), .parts = wa_list(), .objects = wa_list(), .results = wa_list()};
    const wa_value *inputs = wa_get(record, "inputs");
    add_head(&c);
    for (size_t i = 0; i < wa_count(inputs); i++)
        add_input(&c, wa_at(inputs, i));
    for (size_t i = 0; wa_dossier_path(d, i) != NULL; i++)
        add_file(&c, wa_dossier_path(d, i));
    add_file(&c, WA_DOSSIER_RUN);
    add_action(&c, record);
    add_root(&c, record);
    wa_status s = write(out, &c, err);
    wa_value *const held[] = {c.graph, c.parts, c.objects, c.results};
    for (size_t i = 0; i < sizeof held / sizeof *held; i++)
        wa_value_free(held[i]);
    return s;
}
