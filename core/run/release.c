#include "run/release.h"

#include "windassay/diff.h"
#include "windassay/digest.h"

#include <string.h>

static const release_file *shipped(const char *path)
{
    for (size_t i = 0; i < release_files_n; i++)
        if (strcmp(release_files[i].path, path) == 0)
            return &release_files[i];
    return NULL;
}

bool wa_release_has(const char *path, const char *sha256)
{
    char own[WA_SHA256_TEXT_SIZE];
    const release_file *f = path == NULL ? NULL : shipped(path);
    return f != NULL && sha256 != NULL && wa_sha256_of(own, f->text, f->length, NULL) == WA_OK &&
           strcmp(own, sha256) == 0;
}

static bool is_shipped(const wa_module *m, const release_file *f)
{
    return f != NULL && f->length == m->length && memcmp(f->text, m->text, m->length) == 0;
}

static wa_status add(wa_value *scripts, const wa_module *m, const release_file *f, wa_error *err)
{
    wa_text diff = WA_TEXT_INIT;
    wa_value *v = wa_map();
    wa_status s = WA_OK;
    if (f != NULL)
        s = wa_diff(&diff, (const char *)f->text, f->length, m->text, m->length, err);
    bool good = wa_map_set(v, "path", wa_string(m->path));
    if (good && f != NULL)
        good = !wa_text_failed(&diff) && wa_map_set(v, "diff", wa_string(wa_text_string(&diff)));
    wa_text_release(&diff);
    if (s == WA_OK && !good)
        s = wa_no_memory(err);
    if (s != WA_OK)
        wa_value_free(v);
    else if (!wa_list_add(scripts, v))
        s = wa_no_memory(err);
    return s;
}

wa_status wa_release_departures(wa_value **out, const wa_modules *m, wa_error *err)
{
    wa_value *scripts = wa_list(), *v = NULL;
    wa_status s = scripts == NULL ? wa_no_memory(err) : WA_OK;
    for (size_t i = 0; i < wa_modules_count(m) && s == WA_OK; i++) {
        const wa_module *file = wa_modules_at(m, i);
        const release_file *f = shipped(file->path);
        if (strncmp(file->path, "scripts/", 8) == 0 && !is_shipped(file, f))
            s = add(scripts, file, f, err);
    }
    if (s == WA_OK && wa_count(scripts) > 0) {
        v = wa_map();
        bool good = wa_map_set(v, "version", wa_string(WA_VERSION));
        if (good) {
            good = wa_map_set(v, "scripts", scripts);
            scripts = NULL;
        }
        s = good ? WA_OK : wa_no_memory(err);
    }
    wa_value_free(scripts);
    if (s != WA_OK) {
        wa_value_free(v);
        return s;
    }
    *out = v;
    return WA_OK;
}
