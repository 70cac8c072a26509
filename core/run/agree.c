/* agree.c - writes what is agreed beside the campaign, before there are data. */
#include "windassay/run.h"

#include "data/supply.h"
#include "run/agreement.h"
#include "windassay/json.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* How many input files of each source are there by now. */
static wa_status files_there(wa_value **out, wa_campaign *c, wa_error *err)
{
    wa_value *v = wa_map();
    wa_status s = v == NULL ? wa_no_memory(err) : WA_OK;
    c->running = true; /* some may be there, others not */
    for (size_t i = 0; i < c->n_sources && s == WA_OK; i++) {
        wa_paths paths = {0};
        s = wa_campaign_files(&paths, c, i, err);
        if (s == WA_ERR_MISSING)
            s = WA_OK;
        if (s == WA_OK && !wa_map_set(v, c->sources[i].name, wa_number((double)paths.n)))
            s = wa_no_memory(err);
        wa_paths_release(&paths);
    }
    if (s == WA_OK)
        *out = v;
    else
        wa_value_free(v);
    return s;
}

static wa_status make(wa_value **out, const wa_agenda *agenda, const wa_agree_options *o,
                      const wa_engine *engine, wa_error *err)
{
    wa_value *now = NULL, *there = NULL, *v = wa_map();
    wa_status s = files_there(&there, agenda->campaign, err);
    if (s == WA_OK)
        s = wa_agreement_make(&now, agenda, engine, err);
    bool good = s == WA_OK && wa_map_set(v, "schema", wa_string(WA_AGREEMENT_SCHEMA)) &&
                (o->by == NULL || wa_map_set(v, "by", wa_string(o->by))) &&
                (o->on == NULL || wa_map_set(v, "on", wa_string(o->on)));
    if (good) {
        good = wa_map_set(v, "files_there", there);
        there = NULL;
    }
    for (size_t i = 0; i < wa_count(now) && good; i++)
        good = wa_map_set(v, wa_key(now, i), wa_value_copy(wa_at(now, i)));
    wa_value_free(there);
    wa_value_free(now);
    if (s == WA_OK && !good)
        s = wa_no_memory(err);
    if (s == WA_OK)
        *out = v;
    else
        wa_value_free(v);
    return s;
}

/* ---- the one that is there ------------------------------------------------------------------ */

/* WA_OK where it says the same; else the first departure as an error. */
static wa_status same_as_before(const wa_agreement *a, const wa_agenda *agenda,
                                const wa_engine *engine, wa_error *err)
{
    wa_value *record = NULL;
    wa_status s = wa_agreement_record(&record, a, agenda, engine, err);
    if (s != WA_OK)
        return s;
    const wa_value *list = wa_get(record, "departures");
    size_t n = wa_count(list);
    if (n > 0) {
        wa_fail_at(err, WA_ERR_ARG, a->file, 0, 0, "it was agreed otherwise: %s%s",
                   wa_get_string(wa_at(list, 0), "what"), n > 1 ? ", and more" : "");
        s = wa_hint(err, WA_ERR_ARG,
                    "a later departure is no shame, `run` prints it; --replace forgets what was "
                    "agreed");
    }
    wa_value_free(record);
    return s;
}

/* ---- writing -------------------------------------------------------------------------------- */

static wa_status fail_io(const char *path, const char *what, wa_error *err)
{
    return wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot %s: %s", what, strerror(errno));
}

static wa_status put(const char *path, const wa_text *bytes, wa_error *err)
{
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0666);
    if (fd < 0)
        return fail_io(path, "write", err);
    wa_status s = WA_OK;
    for (size_t at = 0; at < bytes->length && s == WA_OK;) {
        ssize_t n = write(fd, bytes->at + at, bytes->length - at);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            s = fail_io(path, "write", err);
        else
            at += (size_t)n;
    }
    if (s == WA_OK && fsync(fd) != 0)
        s = fail_io(path, "write", err);
    if (close(fd) != 0 && s == WA_OK)
        s = fail_io(path, "write", err);
    if (s != WA_OK)
        unlink(path);
    return s;
}

/* Beside its place first: there is the old file, the new one, or none. */
static wa_status write_file(const char *path, const wa_text *bytes, wa_error *err)
{
    wa_text beside = WA_TEXT_INIT;
    wa_text_printf(&beside, "%s.tmp.%ld", path, (long)getpid());
    if (wa_text_failed(&beside)) {
        wa_text_release(&beside);
        return wa_no_memory(err);
    }
    wa_status s = put(beside.at, bytes, err);
    if (s == WA_OK && rename(beside.at, path) != 0) {
        s = fail_io(path, "write", err);
        unlink(beside.at);
    }
    wa_text_release(&beside);
    return s;
}

static char *path_of(const wa_campaign *c, const char *file)
{
    wa_text t = WA_TEXT_INIT;
    if (strcmp(c->folder, ".") != 0)
        wa_text_printf(&t, "%s/", c->folder);
    wa_text_add(&t, file);
    if (!wa_text_failed(&t))
        return t.at;
    wa_text_release(&t);
    return NULL;
}

static wa_status write_new(wa_agreed *out, const wa_agenda *agenda, const char *path,
                           const wa_agree_options *o, const wa_engine *engine, wa_error *err)
{
    wa_text json = WA_TEXT_INIT;
    wa_status s = make(&out->value, agenda, o, engine, err);
    if (s == WA_OK)
        s = wa_json_write(&json, out->value, WA_JSON_READABLE, err);
    if (s == WA_OK)
        s = wa_sha256_of(out->sha256, json.at, json.length, err);
    if (s == WA_OK)
        s = write_file(path, &json, err);
    wa_text_release(&json);
    return s;
}

wa_status wa_agree(wa_agreed *out, const char *campaign, const wa_agree_options *options,
                   const wa_engine *engine, wa_error *err)
{
    wa_agenda *agenda = NULL;
    wa_agreement before = {.json = WA_TEXT_INIT};
    wa_agreed a = {0};
    char *file = NULL;
    int fd = -1;
    wa_error why;
    wa_status s = wa_agenda_open(&agenda, campaign, engine, err);
    if (s == WA_OK && (file = wa_agreement_file(agenda->campaign)) == NULL)
        s = wa_no_memory(err);
    if (s == WA_OK && (a.path = path_of(agenda->campaign, file)) == NULL)
        s = wa_no_memory(err);
    if (s == WA_OK && wa_open_beneath(&fd, agenda->campaign->folder, file, &why) == WA_OK) {
        close(fd);
        a.was_there = !options->replace;
    }
    if (s == WA_OK && a.was_there) {
        s = wa_agreement_read(&before, agenda->campaign, err);
        if (s == WA_OK)
            s = same_as_before(&before, agenda, engine, err);
        if (s == WA_OK) {
            a.value = before.value;
            before.value = NULL;
            memcpy(a.sha256, before.sha256, sizeof a.sha256);
        }
    } else if (s == WA_OK) {
        s = write_new(&a, agenda, a.path, options, engine, err);
    }
    wa_agreement_release(&before);
    wa_agenda_free(agenda);
    free(file);
    if (s == WA_OK)
        *out = a;
    else
        wa_agreed_release(&a);
    return s;
}

void wa_agreed_release(wa_agreed *a)
{
    free(a->path);
    wa_value_free(a->value);
    *a = (wa_agreed){0};
}
