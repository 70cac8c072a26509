#include "run/calibrations.h"

#include "data/supply.h"
#include "windassay/calibration.h"
#include "windassay/digest.h"
#include "windassay/json.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { FILE_MOST = 16 * 1024 * 1024 };

static bool carry(wa_value *to, const wa_value *from, const char *const *keys)
{
    bool good = true;
    for (; good && *keys != NULL; keys++) {
        const wa_value *v = wa_get(from, *keys);
        good = v == NULL || wa_map_set(to, *keys, wa_value_copy(v));
    }
    return good;
}

/* ---- reading -------------------------------------------------------------------------------- */

static wa_status read_bytes(wa_text *out, int fd, const char *file, wa_error *err)
{
    char block[65536];
    ssize_t got;
    while ((got = read(fd, block, sizeof block)) > 0 || (got < 0 && errno == EINTR)) {
        if (got < 0)
            continue;
        wa_text_add_bytes(out, block, (size_t)got);
        if (out->length > FILE_MOST)
            return wa_fail_at(err, WA_ERR_LIMIT, file, 0, 0, "it is too large for a calibration");
    }
    if (got < 0)
        return wa_fail_at(err, WA_ERR_IO, file, 0, 0, "cannot read: %s", strerror(errno));
    return wa_text_failed(out) ? wa_no_memory(err) : WA_OK;
}

static wa_status right_file(const wa_calibration_use *u, const wa_text *bytes, wa_error *err)
{
    char digest[WA_SHA256_TEXT_SIZE];
    wa_status s = wa_sha256_of(digest, wa_text_string(bytes), bytes->length, err);
    if (s != WA_OK || strcmp(digest, u->sha256) == 0)
        return s;
    wa_fail_at(err, WA_ERR_DATA, u->file, 0, 0,
               "this is not the calibration that the campaign states: its digest is %s, stated is "
               "%s",
               digest, u->sha256);
    return wa_hint(err, WA_ERR_DATA, "the digest stands in the manifest-sha256.txt of its dossier");
}

/* Of the instrument that is meant; of the unit also as it is now. */
static wa_status right_instrument(const wa_calibration_use *u, const wa_campaign *c,
                                  const wa_value *file, wa_error *err)
{
    static const char *const keys[] = {"firmware", "configuration", "sign"};
    const wa_value *was = wa_get(file, "lidar"), *is = wa_get(c->described, "lidar");
    if (strcmp(wa_get_string(was, "serial"), u->serial) != 0)
        return wa_fail_at(err, WA_ERR_DATA, u->file, 0, 0,
                          "it is the calibration of '%s', source '%s' is '%s'",
                          wa_get_string(was, "serial"), c->sources[u->source].name, u->serial);
    if (c->sources[u->source].role != WA_ROLE_UNIT || u->despite != NULL)
        return WA_OK;
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++) {
        const wa_value *a = wa_get(was, keys[i]), *b = wa_get(is, keys[i]);
        if ((a == NULL && b == NULL) || (a != NULL && b != NULL && wa_value_equal(a, b)))
            continue;
        const char *before = wa_string_of(a), *now = wa_string_of(b);
        wa_fail_at(err, WA_ERR_DATA, u->file, 0, 0,
                   "the unit's %s differs: '%s' when it was calibrated, '%s' now", keys[i],
                   before != NULL ? before : "not stated", now != NULL ? now : "not stated");
        return wa_hint(err, WA_ERR_DATA,
                       "calibrate it again, or say why it holds: despite = \"...\"");
    }
    return WA_OK;
}

static wa_status read_file(wa_value **out, wa_text *bytes, const wa_calibration_use *u,
                           const wa_campaign *c, wa_error *err)
{
    int fd = -1;
    wa_value *file = NULL;
    wa_status s = wa_campaign_open_file(&fd, c, u->file, err);
    if (s != WA_OK)
        return s;
    s = read_bytes(bytes, fd, u->file, err);
    close(fd);
    if (s == WA_OK)
        s = right_file(u, bytes, err);
    if (s == WA_OK)
        s = wa_json_read(&file, wa_text_string(bytes), bytes->length, u->file, err);
    if (s == WA_OK)
        s = wa_calibration_check(file, u->file, err);
    if (s == WA_OK)
        s = right_instrument(u, c, file, err);
    if (s == WA_OK)
        *out = file;
    else
        wa_value_free(file);
    return s;
}

/* ---- what is shown, and what is said -------------------------------------------------------- */

static wa_value *about(const wa_calibration_use *u, const wa_campaign *c)
{
    wa_value *m = wa_map();
    bool good = wa_map_set(m, "source", wa_string(c->sources[u->source].name)) &&
                wa_map_set(m, "file", wa_string(u->file)) &&
                wa_map_set(m, "sha256", wa_string(u->sha256)) &&
                (!u->any_range || wa_map_set(m, "any_range", wa_bool(true))) &&
                (u->despite == NULL || wa_map_set(m, "despite", wa_string(u->despite)));
    if (!good) {
        wa_value_free(m);
        return NULL;
    }
    return m;
}

static bool show(wa_value *list, const wa_calibration_use *u, const wa_campaign *c,
                 const wa_value *file)
{
    static const char *const keys[] = {"lidar", "record", "calibrations", "not_calibrated", NULL};
    wa_value *m = about(u, c);
    if (m != NULL && !carry(m, file, keys)) {
        wa_value_free(m);
        m = NULL;
    }
    return wa_list_add(list, m);
}

static bool tell(wa_value *list, const wa_calibration_use *u, const wa_campaign *c,
                 const wa_value *file)
{
    static const char *const of_record[] = {"title", "number", "revision", "status",
                                            "from",  "to",     "outcome",  NULL};
    const wa_value *record = wa_get(file, "record");
    wa_value *m = about(u, c);
    bool good =
        m != NULL && wa_map_set(m, "serial", wa_string(u->serial)) &&
        wa_map_set(m, "record", wa_string(wa_get_string(record, "sha256"))) &&
        carry(m, record, of_record) &&
        wa_map_set(m, "calibrations", wa_number((double)wa_count(wa_get(file, "calibrations"))));
    if (!good) {
        wa_value_free(m);
        m = NULL;
    }
    return wa_list_add(list, m);
}

/* One thing of one source may be calibrated once. */
static wa_status no_two(const wa_value *shown, const wa_value *file, const wa_calibration_use *u,
                        const wa_campaign *c, wa_error *err)
{
    const wa_value *own = wa_get(file, "calibrations");
    for (size_t i = 0; i < wa_count(shown); i++) {
        const wa_value *other = wa_at(shown, i), *there = wa_get(other, "calibrations");
        if (strcmp(wa_get_string(other, "source"), c->sources[u->source].name) != 0)
            continue;
        for (size_t k = 0; k < wa_count(own) * wa_count(there); k++) {
            const wa_value *a = wa_at(own, k / wa_count(there));
            if (wa_calibration_same(a, wa_at(there, k % wa_count(there))))
                return wa_fail_at(err, WA_ERR_DATA, u->file, 0, 0,
                                  "its calibration '%s' is in '%s' as well",
                                  wa_get_string(a, "name"), wa_get_string(other, "file"));
        }
    }
    return WA_OK;
}

static wa_status read_one(wa_calibrations *to, const wa_calibration_use *u, const wa_campaign *c,
                          wa_error *err)
{
    wa_value *file = NULL;
    to->bytes[to->n] = (wa_text)WA_TEXT_INIT;
    wa_status s = read_file(&file, &to->bytes[to->n++], u, c, err);
    if (s == WA_OK)
        s = no_two(to->shown, file, u, c, err);
    if (s == WA_OK && !(show(to->shown, u, c, file) && tell(to->listed, u, c, file)))
        s = wa_no_memory(err);
    wa_value_free(file);
    return s;
}

wa_status wa_calibrations_read(wa_calibrations *out, const wa_campaign *c, wa_error *err)
{
    wa_calibrations x = {wa_list(), wa_list(), calloc(c->n_calibrations + 1, sizeof *x.bytes), 0};
    bool good = x.shown != NULL && x.listed != NULL && x.bytes != NULL;
    wa_status s = good ? WA_OK : wa_no_memory(err);
    for (size_t i = 0; i < c->n_calibrations && s == WA_OK; i++)
        s = read_one(&x, &c->calibrations[i], c, err);
    if (s == WA_OK)
        *out = x;
    else
        wa_calibrations_release(&x);
    return s;
}

void wa_calibrations_release(wa_calibrations *x)
{
    for (size_t i = 0; i < x->n; i++)
        wa_text_release(&x->bytes[i]);
    free(x->bytes);
    wa_value_free(x->shown);
    wa_value_free(x->listed);
    *x = (wa_calibrations){0};
}

bool wa_calibrations_inputs(wa_value *inputs, const wa_campaign *c, const wa_calibrations *x)
{
    for (size_t i = 0; i < x->n; i++) {
        wa_value *v = wa_map();
        bool good = wa_map_set(v, "path", wa_string(c->calibrations[i].file)) &&
                    wa_map_set(v, "source", wa_string("calibration")) &&
                    wa_map_set(v, "bytes", wa_number((double)x->bytes[i].length)) &&
                    wa_map_set(v, "sha256", wa_string(c->calibrations[i].sha256));
        if (!good) {
            wa_value_free(v);
            v = NULL;
        }
        if (!wa_list_add(inputs, v))
            return false;
    }
    return true;
}
