/* Other criteria decide what a dossier measured: computed again from its intervals, for criteria set
 * ranges, bins and coverage, too. What comes is a new revision. */
#include "run/keep.h"
#include "run/rerun.h"

#include "data/files.h"
#include "windassay/result.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- the criteria --------------------------------------------------------------------------- */

/* "criteria/strict.lua" is the set `strict`. */
static wa_status name_of(char **name, const char *file, wa_error *err)
{
    size_t n = strlen(file);
    if (n > 4 && strcmp(file + n - 4, ".lua") == 0)
        n -= 4;
    char *copy = strndup(file, n);
    if (copy == NULL)
        return wa_no_memory(err);
    bool good = copy[0] != '\0' && !(copy[0] >= '0' && copy[0] <= '9');
    for (const char *c = copy; *c != '\0'; c++)
        good = good && (*c == '_' || (*c >= '0' && *c <= '9') || (*c >= 'a' && *c <= 'z') ||
                        (*c >= 'A' && *c <= 'Z'));
    if (good && strlen(copy) <= 64) {
        *name = copy;
        return WA_OK;
    }
    free(copy);
    wa_fail_at(err, WA_ERR_ARG, file, 0, 0, "its name cannot be the name of a set of criteria");
    return wa_hint(err, WA_ERR_ARG, "letters, digits and underscores: strict_2026.lua");
}

static wa_status read_text(wa_text *out, const char *folder, const char *file, wa_error *err)
{
    char block[4096];
    int fd;
    wa_status s = wa_open_beneath(&fd, folder, file, err);
    if (s != WA_OK)
        return s;
    while (s == WA_OK && out->length <= WA_MODULE_MOST) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            s = wa_fail_at(err, WA_ERR_IO, file, 0, 0, "cannot read: %s", strerror(errno));
        if (got <= 0)
            break;
        wa_text_add_bytes(out, block, (size_t)got);
    }
    close(fd);
    if (s == WA_OK && wa_text_failed(out))
        s = wa_no_memory(err);
    if (s == WA_OK && strlen(wa_text_string(out)) != out->length)
        s = wa_fail_at(err, WA_ERR_DATA, file, 0, 0, "is not text");
    return s;
}

static wa_status read_criteria(char **name, wa_text *text, const char *path, wa_error *err)
{
    char *folder = NULL;
    const char *file = NULL;
    wa_status s = wa_split_path(&folder, &file, path, err);
    if (s == WA_OK)
        s = name_of(name, file, err);
    if (s == WA_OK)
        s = read_text(text, folder, file, err);
    free(folder);
    return s;
}

/* ---- the revision --------------------------------------------------------------------------- */

/* "NL-0417.dossier" decided by `strict` becomes "NL-0417.strict.dossier". */
static char *beside(const char *dossier, const char *name)
{
    static const char ending[] = ".dossier";
    wa_text t = WA_TEXT_INIT;
    size_t n = strlen(dossier), e = sizeof ending - 1;
    while (n > 1 && dossier[n - 1] == '/')
        n--;
    if (n > e && strncmp(dossier + n - e, ending, e) == 0)
        n -= e;
    wa_text_add_bytes(&t, dossier, n);
    wa_text_printf(&t, ".%s%s", name, ending);
    if (!wa_text_failed(&t))
        return t.at;
    wa_text_release(&t);
    return NULL;
}

static wa_status compute(wa_rerun *r, const wa_bag *bag, const wa_value *record,
                         const wa_found *found, const wa_other_criteria *criteria,
                         const char *reason, const wa_engine *engine, wa_error *err)
{
    const wa_rerun_options how = {.from_intervals = true, .criteria = criteria, .reason = reason};
    wa_status s = wa_rerun_open(r, bag, record, found, &how, engine, err);
    return s == WA_OK ? wa_rerun_compute(r, engine, err) : s;
}

static wa_status default_reason(wa_text *out, const char *reason, const char *name, wa_error *err)
{
    if (reason != NULL)
        wa_text_add(out, reason);
    else
        wa_text_printf(out, "decided by other criteria: %s", name);
    return wa_text_failed(out) ? wa_no_memory(err) : WA_OK;
}

wa_status wa_decide(wa_run *out, const char *dossier, const char *criteria, const char *reason,
                    const wa_engine *engine, const wa_run_options *options, wa_error *err)
{
    wa_bag *bag = NULL;
    wa_value *record = NULL;
    wa_found found = {0};
    wa_rerun rerun = {.made = {.json = WA_TEXT_INIT}};
    wa_text text = WA_TEXT_INIT, why = WA_TEXT_INIT;
    char *name = NULL, *folder = NULL;
    wa_status s = read_criteria(&name, &text, criteria, err);
    if (s == WA_OK)
        s = default_reason(&why, reason, name, err);
    if (s == WA_OK)
        s = wa_bag_open(&bag, dossier, err);
    if (s == WA_OK)
        s = wa_rerun_record(&record, bag, err);
    if (s == WA_OK)
        s = wa_found_look(&found, record, bag, NULL, err);
    const wa_other_criteria other = {name, wa_text_string(&text)};
    if (s == WA_OK)
        s = compute(&rerun, bag, record, &found, &other, wa_text_string(&why), engine, err);
    if (s == WA_OK && (folder = beside(dossier, name)) == NULL)
        s = wa_no_memory(err);
    if (s == WA_OK)
        s = wa_keep(out, &rerun.made, &rerun.computed, engine, options, folder, err);
    wa_rerun_release(&rerun);
    wa_found_release(&found);
    wa_value_free(record);
    wa_bag_close(bag);
    wa_text_release(&text);
    wa_text_release(&why);
    free(name);
    free(folder);
    return s;
}
