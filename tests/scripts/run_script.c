/* run_script.c - runs Lua files in a cell and holds them against what they say of themselves.
 *
 *   run_script CELL SCRIPTS FILE.lua...
 *
 * In each file:
 *   --> TEXT                 one line that the script prints (all of them, in order)
 *   --! KIND: FRAGMENT       it ends with an error of that kind whose message holds the fragment
 *   --@ LINE                 ... at that line of the file
 *   --? FRAGMENT             ... and whose hint holds the fragment
 *   --% NAME VALUE           a limit: instructions, memory (bytes), wall (seconds)
 * A script without --! must end well.
 */
#include "script/cell.h"
#include "windassay/text.h"

#include <libgen.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct expectation {
    wa_text printed;
    char kind[16], message[256], hint[256];
    int line;
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
    else if (sscanf(line, "--? %255[^\n]", e->hint) == 1)
        ;
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

static bool compare(const expectation *e, const wa_value *reply)
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
    double line = 0;
    wa_number_of(wa_get(error, "line"), &line);
    if (e->line != 0 && (int)line != e->line) {
        printf("  at line %d, expected %d\n", (int)line, e->line);
        ok = false;
    }
    return ok;
}

static bool run(const char *cell, const char *scripts, char *path)
{
    expectation e = {WA_TEXT_INIT, "", "", "", 0, wa_limits_default(cell)};
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
    wa_map_set(job, "job", wa_string("script"));
    wa_map_set(job, "file", wa_string(basename(file)));
    if (wa_modules_new(&modules, scripts, dirname(folder), NULL, &err) != WA_OK ||
        wa_cell_run(&reply, job, -1, modules, &e.limits, &err) != WA_OK)
        printf("%s: %s %s\n", path, err.file, err.text);
    else if (!(ok = compare(&e, reply)))
        printf("%s: not as expected\n", path);
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
