/* run_script.c - runs Lua files in a cell and holds them against what they say of themselves.
 *
 *   run_script CELL SCRIPTS FILE.lua...
 *
 * In each file:
 *   --> TEXT                 one line that the script prints (all of them, in order)
 *   --! KIND: FRAGMENT       it ends with an error of that kind whose message holds the fragment
 *   --@ LINE                 ... at that line of the file
 *   --| TEXT                 ... which is this line
 *   --? FRAGMENT             ... and whose hint holds the fragment
 *   --~ FRAGMENT             the reply, written as JSON, holds the fragment
 *   --% NAME VALUE           a limit: instructions, memory (bytes), wall (seconds)
 * A script without --! must end well. A file in a folder `checks` is a check: it runs on the
 * invented records below.
 */
#include "script/cell.h"
#include "windassay/json.h"
#include "windassay/text.h"

#include <libgen.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

enum { FRAGMENTS = 40 };

typedef struct expectation {
    wa_text printed;
    char kind[16], message[256], hint[256], source[256];
    int line;
    char fragment[FRAGMENTS][256];
    int fragments;
    wa_limits limits;
} expectation;

static void read_line(expectation *e, const char *line)
{
    char name[32];
    unsigned long long value;
    if (strncmp(line, "--> ", 4) == 0 || strcmp(line, "-->") == 0)
        wa_text_printf(&e->printed, "%s\n", line[3] == ' ' ? line + 4 : "");
    else if (sscanf(line, "--! %15[a-z]: %255[^\n]", e->kind, e->message) == 2)
        ;
    else if (sscanf(line, "--@ %d", &e->line) == 1)
        ;
    else if (sscanf(line, "--| %255[^\n]", e->source) == 1)
        ;
    else if (sscanf(line, "--? %255[^\n]", e->hint) == 1)
        ;
    else if (e->fragments < FRAGMENTS &&
             sscanf(line, "--~ %255[^\n]", e->fragment[e->fragments]) == 1)
        e->fragments++;
    else if (sscanf(line, "--%% %31s %llu", name, &value) == 2) {
        if (strcmp(name, "instructions") == 0)
            e->limits.instructions = value;
        else if (strcmp(name, "memory") == 0)
            e->limits.memory = value;
        else if (strcmp(name, "wall") == 0)
            e->limits.wall_s = (unsigned)value;
    }
}

static bool holds(const char *what, const char *found, const char *fragment)
{
    if (*fragment == '\0' || (found != NULL && strstr(found, fragment) != NULL))
        return true;
    printf("  %s: expected ...%s..., got: %s\n", what, fragment, found != NULL ? found : "none");
    return false;
}

/* Masks and columns are bytes, not text: null stands for them. */
static void without_bytes(wa_value *map)
{
    for (size_t i = 0; i < wa_count(map); i++) {
        const wa_value *v = wa_at(map, i);
        const char *text = wa_string_of(v);
        size_t n = wa_length_of(v);
        if (text == NULL)
            without_bytes(wa_at_mutable(map, i));
        else if (wa_key(map, i) != NULL && (!wa_utf8_valid(text, n) || memchr(text, 0, n) != NULL))
            wa_map_set(map, wa_key(map, i), wa_null());
    }
}

static bool compare(const expectation *e, wa_value *reply)
{
    bool ok = true;
    const wa_value *error = wa_get(reply, "error");
    const char *printed = wa_get_string(reply, "printed"), *kind = wa_get_string(error, "kind");
    const char *reason = wa_get_string(reply, "undefined");
    if (strcmp(printed != NULL ? printed : "", wa_text_string(&e->printed)) != 0) {
        printf("  printed:\n%.3000s\n  expected:\n%.3000s\n", printed != NULL ? printed : "",
               wa_text_string(&e->printed));
        ok = false;
    }
    if (strcmp(kind != NULL ? kind : reason != NULL ? "undefined" : "", e->kind) != 0) {
        printf("  ended with '%s': %s\n",
               kind != NULL     ? kind
               : reason != NULL ? "undefined"
                                : "",
               reason != NULL ? reason : wa_get_string(error, "message"));
        ok = false;
    }
    ok &= holds("message", reason != NULL ? reason : wa_get_string(error, "message"), e->message);
    ok &= holds("hint", wa_get_string(error, "hint"), e->hint);
    ok &= holds("source", wa_get_string(error, "source"), e->source);
    double line = 0;
    wa_number_of(wa_get(error, "line"), &line);
    if (e->line != 0 && (int)line != e->line) {
        printf("  at line %d, expected %d\n", (int)line, e->line);
        ok = false;
    }
    wa_text json = WA_TEXT_INIT;
    without_bytes(reply);
    ok = wa_json_write(&json, reply, WA_JSON_COMPACT, NULL) == WA_OK && ok;
    for (int i = 0; i < e->fragments; i++)
        ok &= holds("reply", wa_text_string(&json), e->fragment[i]);
    wa_text_release(&json);
    return ok;
}

/* ---- the records that checks run on: invented ------------------------------------------------- */

/* 12 intervals from 2026-03-02T23:00:00Z. */
enum { N = 12, FROM = 1772492400 };

typedef struct series {
    const char *source, *role, *name, *quantity, *unit, *use;
    double height, beam, range; /* 0: none */
    const char *columns;        /* statistics, in order, joined by blanks */
} series;

static const series all[] = {
    {"mast", "reference", "v_top", "wind_speed", "m s-1", "primary", 8.9, 0, 0, "mean sd count"},
    {"mast", "reference", "v_low", "wind_speed", "m s-1", "control", 7.4, 0, 0, "mean"},
    {"mast", "reference", "d", "wind_from_direction", "degree", NULL, 8.4, 0, 0, "mean"},
    {"lidar", "unit", "wind_speed", "wind_speed", "m s-1", NULL, 8.9, 0, 0, "mean availability"},
    {"beams", "unit", "los_speed", "los_speed", "m s-1", NULL, 0, 1, 140, "mean"},
    {"beams", "unit", "los_speed", "los_speed", "m s-1", NULL, 0, 2, 140, "mean"},
};

/* Statistic k at interval i: 4, 5, ... plus a tenth a statistic; the third array misses one. */
static double value_at(size_t k, size_t i)
{
    return k == 2 && i == 3 ? (double)NAN : 4 + (double)i + (double)k / 10;
}

static void describe(const series *s, double *next, wa_value *list)
{
    wa_value *v = wa_map(), *columns = wa_map();
    char names[64], *rest = names;
    snprintf(names, sizeof names, "%s", s->columns);
    for (char *name; (name = strtok_r(rest, " ", &rest)) != NULL;)
        wa_map_set(columns, name, wa_number((*next)++));
    wa_map_set(v, "source", wa_string(s->source));
    wa_map_set(v, "role", wa_string(s->role));
    wa_map_set(v, "name", wa_string(s->name));
    wa_map_set(v, "quantity", wa_string(s->quantity));
    wa_map_set(v, "kind", wa_string("scalar"));
    wa_map_set(v, "unit", wa_string(s->unit));
    if (s->use != NULL)
        wa_map_set(v, "use", wa_string(s->use));
    if (s->height > 0)
        wa_map_set(v, "height", wa_number(s->height));
    if (s->beam > 0)
        wa_map_set(v, "beam", wa_number(s->beam));
    if (s->range > 0)
        wa_map_set(v, "range", wa_number(s->range));
    wa_map_set(v, "columns", columns);
    wa_list_add(list, v);
}

static wa_value *records(size_t *arrays)
{
    wa_value *r = wa_map(), *list = wa_list(), *events = wa_list(), *event = wa_map();
    uint8_t mask[N] = {1};
    double next = 0;
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        describe(&all[i], &next, list);
    *arrays = (size_t)next;
    wa_map_set(event, "reason", wa_string("window cleaned"));
    wa_map_set(event, "mask", wa_bytes(mask, N));
    wa_list_add(events, event);
    wa_map_set(r, "n", wa_number(N));
    wa_map_set(r, "from", wa_number(FROM));
    wa_map_set(r, "interval_s", wa_number(600));
    wa_map_set(r, "series", list);
    wa_map_set(r, "events", events);
    return r;
}

static const char campaign[] =
    "{\"title\":\"an invented campaign\",\"roles\":{\"unit\":[\"lidar\",\"beams\"],"
    "\"reference\":[\"mast\"]},\"sources\":{\"lidar\":{},\"mast\":{\"position\":{\"east\":228}}},"
    "\"instruments\":{\"cup_top\":{\"class\":\"1.2A\",\"mounting\":{\"1\":0.5,\"2\":\"%\"},"
    "\"fitted\":[{\"serial\":\"A-3391\",\"calibration\":{\"standard_uncertainty\":"
    "[[4,0.045],[16,0.06]]}}]}},"
    "\"lens\":{\"1\":2.1,\"2\":\"m\",\"u\":0.02},\"phases\":["
    "{\"name\":\"beam 1\",\"beam\":1,\"range\":140,\"from\":\"2026-03-02T23:00:00Z\","
    "\"to\":\"2026-03-03T00:00:00Z\"},"
    "{\"name\":\"beam 2\",\"beam\":2,\"range\":140,\"from\":\"2026-03-03T00:00:00Z\","
    "\"to\":\"2026-03-03T01:00:00Z\"}]}";

static wa_value *column(const char *name, const char *kind)
{
    wa_value *v = wa_map();
    wa_map_set(v, "name", wa_string(name));
    wa_map_set(v, "kind", wa_string(kind));
    return v;
}

/* The job of a free script, with one table: 3 rows of a time, a number and a text. */
static bool script_job(wa_value *job, const char *file, int *fd)
{
    static const double numbers[] = {FROM, FROM + 600, FROM + 86400, 4.5, (double)NAN, 6};
    wa_value *columns[] = {column("time", "time"), column("speed", "number"),
                           column("state", "text")};
    wa_value *table = wa_map(), *list = wa_list(), *tables = wa_list(), *texts = wa_list();
    for (int i = 0; i < 2; i++)
        wa_map_set(columns[i], "at", wa_number(3 * i));
    wa_list_add(texts, wa_string("ok"));
    wa_list_add(texts, wa_null());
    wa_list_add(texts, wa_string("wet"));
    wa_map_set(columns[2], "texts", texts);
    wa_map_set(columns[2], "line", wa_number(2));
    for (int i = 0; i < 3; i++)
        wa_list_add(list, columns[i]);
    wa_map_set(table, "name", wa_string("bench"));
    wa_map_set(table, "n", wa_number(3));
    wa_map_set(table, "columns", list);
    wa_list_add(tables, table);
    wa_map_set(job, "job", wa_string("script"));
    wa_map_set(job, "file", wa_string(file));
    *fd = memfd_create("tables", 0);
    return write(*fd, numbers, sizeof numbers) == sizeof numbers &&
           wa_map_set(job, "tables", tables);
}

/* The job of a check; *fd gets its records. */
static bool check_job(wa_value *job, const char *file, int *fd)
{
    char name[64];
    size_t arrays;
    wa_value *described = NULL, *parameters = wa_map();
    snprintf(name, sizeof name, "%.*s", (int)strcspn(file, "."), file);
    wa_map_set(job, "job", wa_string("check"));
    wa_map_set(job, "check", wa_string(name));
    wa_map_set(job, "records", records(&arrays));
    wa_map_set(parameters, "lowest", wa_number(6));
    wa_map_set(job, "parameters", parameters);
    if (wa_json_read(&described, campaign, strlen(campaign), NULL, NULL) != WA_OK ||
        !wa_map_set(job, "campaign", described))
        return false;
    *fd = memfd_create("records", 0);
    for (size_t k = 0; k < arrays; k++)
        for (size_t i = 0; i < N; i++) {
            double x = value_at(k, i);
            if (write(*fd, &x, sizeof x) != sizeof x)
                return false;
        }
    return true;
}

static bool run(const char *cell, const char *scripts, char *path)
{
    expectation e = {.printed = WA_TEXT_INIT, .limits = wa_limits_default(cell)};
    char line[1024], *folder = strdup(path), *file = strdup(path);
    wa_modules *modules = NULL;
    wa_value *job = wa_map(), *reply = NULL;
    wa_error err = {0};
    bool ok = false;
    FILE *f = fopen(path, "r");
    if (f == NULL || folder == NULL || file == NULL) {
        printf("%s: cannot be read\n", path);
        return false;
    }
    while (fgets(line, sizeof line, f) != NULL) {
        line[strcspn(line, "\n")] = '\0';
        read_line(&e, line);
    }
    fclose(f);
    char *base = basename(file), *in = dirname(folder);
    int fd = -1;
    if (strcmp(in + strlen(in) - 7, "/checks") == 0) {
        in = dirname(in);
        ok = check_job(job, base, &fd);
    } else {
        ok = script_job(job, base, &fd);
    }
    if (!ok || wa_modules_new(&modules, scripts, in, NULL, &err) != WA_OK ||
        wa_cell_run(&reply, job, fd, modules, &e.limits, &err) != WA_OK)
        printf("%s: %s %s\n", path, err.file, err.text);
    else if (!(ok = compare(&e, reply)))
        printf("%s: not as expected\n", path);
    if (fd >= 0)
        close(fd);
    wa_value_free(job);
    wa_value_free(reply);
    wa_modules_free(modules);
    wa_text_release(&e.printed);
    free(folder);
    free(file);
    return ok;
}

int main(int argc, char **argv)
{
    int failed = 0;
    for (int i = 3; i < argc; i++)
        failed += !run(argv[1], argv[2], argv[i]);
    return argc < 4 || failed > 0;
}
