#include "run/job.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

/* The statistics of a series, in the order of their arrays. */
typedef struct statistic {
    const char *name;
    const double *at; /* NULL: the source does not give it */
} statistic;

enum { STATISTICS = 7 };

static void statistics_of(statistic to[STATISTICS], const wa_series *s)
{
    const statistic all[STATISTICS] = {{"mean", s->mean},
                                       {"sd", s->sd},
                                       {"min", s->min},
                                       {"max", s->max},
                                       {"count", s->count},
                                       {"availability", s->availability},
                                       {"resultant", s->resultant}};
    memcpy(to, all, sizeof all);
}

static const char *role_name(wa_role role)
{
    return role == WA_ROLE_UNIT ? "unit" : role == WA_ROLE_REFERENCE ? "reference" : "none";
}

static const char *kind_name(wa_channel_kind kind)
{
    switch (kind) {
    case WA_CHANNEL_SCALAR:
        return "scalar";
    case WA_CHANNEL_DIRECTION:
        return "direction";
    case WA_CHANNEL_BITS:
        return "bits";
    case WA_CHANNEL_WORDS:
        return "words";
    }
    return "scalar";
}

static bool set_text(wa_value *map, const char *key, const char *text)
{
    return text == NULL || wa_map_set(map, key, wa_string(text));
}

static bool set_number(wa_value *map, const char *key, bool has, double x)
{
    return !has || wa_map_set(map, key, wa_number(x));
}

static wa_value *describe_series(const wa_series *s, const wa_campaign *c, size_t *next)
{
    const wa_source *source = &c->sources[s->source];
    wa_value *v = wa_map(), *columns = wa_map(), *share = wa_map();
    statistic all[STATISTICS];
    statistics_of(all, s);
    bool good = v != NULL && columns != NULL && share != NULL;
    for (size_t i = 0; i < STATISTICS && good; i++)
        if (all[i].at != NULL)
            good = wa_map_set(columns, all[i].name, wa_number((double)(*next)++));
    for (size_t i = 0; i < s->n_share && good; i++)
        good = wa_map_set(share, s->share_name[i], wa_number((double)(*next)++));
    good = good && set_text(v, "source", source->name) &&
           set_text(v, "role", role_name(source->role)) && set_text(v, "name", s->name) &&
           set_text(v, "quantity", s->quantity) && set_text(v, "kind", kind_name(s->kind)) &&
           set_text(v, "unit", s->unit.text) && set_text(v, "use", s->use) &&
           set_text(v, "instrument", s->instrument) &&
           set_number(v, "height", s->has_height, s->height) &&
           set_number(v, "beam", s->has_beam, s->beam) &&
           set_number(v, "range", s->has_range, s->range);
    if (!good) {
        wa_value_free(columns);
        wa_value_free(share);
        wa_value_free(v);
        return NULL;
    }
    good = wa_map_set(v, "columns", columns);
    if (!wa_map_set(v, "share", share) || !good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

static wa_value *describe_events(const wa_records *r)
{
    wa_value *list = wa_list();
    for (size_t i = 0; i < r->n_events && list != NULL; i++) {
        wa_value *e = wa_map();
        bool good = wa_map_set(e, "reason", wa_string(r->events[i].reason)) &&
                    wa_map_set(e, "mask", wa_bytes(r->events[i].mask, r->n));
        if (!good) {
            wa_value_free(e);
            e = NULL;
        }
        if (!wa_list_add(list, e)) {
            wa_value_free(list);
            return NULL;
        }
    }
    return list;
}

/* Plain keys of the campaign file that checks may read. */
static const char *const SHOWN[] = {"title",       "report",  "lidar",     "period", "phases",
                                    "instruments", "logbook", "disturbed", "roles"};

/* What the file says of a source, its position in plain metres. */
static wa_value *describe_source(const wa_campaign *c, const wa_source *s)
{
    const wa_value *said = wa_get(wa_get(c->described, "sources"), s->name);
    wa_value *v = wa_value_copy(said);
    bool good = set_number(v, "interval_s", s->interval_ns > 0, (double)s->interval_ns / 1e9);
    if (good && s->has_position) {
        wa_value *p = wa_map();
        good = set_number(p, "east", true, s->east) && set_number(p, "north", true, s->north);
        good = wa_map_set(v, "position", p) && good;
    }
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

wa_value *wa_job_campaign(const wa_campaign *c)
{
    wa_value *v = wa_map(), *sources = wa_map();
    bool good = sources != NULL;
    for (size_t i = 0; i < c->n_sources && good; i++)
        good = wa_map_set(sources, c->sources[i].name, describe_source(c, &c->sources[i]));
    good = wa_map_set(v, "sources", sources) && good;
    for (size_t i = 0; i < sizeof SHOWN / sizeof *SHOWN && good; i++) {
        const wa_value *item = wa_get(c->described, SHOWN[i]);
        good = item == NULL || wa_map_set(v, SHOWN[i], wa_value_copy(item));
    }
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

wa_value *wa_job_describe(const wa_records *r, const wa_campaign *c)
{
    wa_value *v = wa_map(), *list = wa_list();
    size_t next = 0;
    bool good = list != NULL;
    for (size_t i = 0; i < r->n_series && good; i++)
        good = wa_list_add(list, describe_series(&r->series[i], c, &next));
    good = wa_map_set(v, "series", list) && good;
    good = good && wa_map_set(v, "n", wa_number((double)r->n)) &&
           wa_map_set(v, "from", wa_number((double)r->from / 1e9)) &&
           wa_map_set(v, "interval_s", wa_number((double)r->interval_ns / 1e9)) &&
           wa_map_set(v, "events", describe_events(r));
    if (!good) {
        wa_value_free(v);
        return NULL;
    }
    return v;
}

wa_status wa_memory_new(wa_memory *m, wa_error *err)
{
    m->fd = memfd_create("windassay-records", MFD_CLOEXEC | MFD_ALLOW_SEALING);
    if (m->fd < 0)
        return wa_fail(err, WA_ERR_IO, "cannot make a memory file: %s", strerror(errno));
    return WA_OK;
}

static wa_status give_up(wa_memory *m, const char *what, wa_error *err)
{
    wa_status s = wa_fail(err, WA_ERR_IO, "cannot %s: %s", what, strerror(errno));
    close(m->fd);
    m->fd = -1;
    return s;
}

wa_status wa_memory_add(wa_memory *m, const double *at, size_t n, wa_error *err)
{
    const char *bytes = (const char *)at;
    size_t left = n * sizeof *at;
    while (left > 0) {
        ssize_t done = write(m->fd, bytes, left);
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            return give_up(m, "write records to memory", err);
        bytes += done;
        left -= (size_t)done;
    }
    return WA_OK;
}

wa_status wa_memory_seal(int *fd, wa_memory *m, wa_error *err)
{
    const int seals = F_SEAL_SHRINK | F_SEAL_GROW | F_SEAL_WRITE | F_SEAL_SEAL;
    if (fcntl(m->fd, F_ADD_SEALS, seals) != 0)
        return give_up(m, "seal the records", err);
    *fd = m->fd;
    return WA_OK;
}

static wa_status add_series(wa_memory *m, const wa_series *s, size_t n, wa_error *err)
{
    statistic all[STATISTICS];
    wa_status status = WA_OK;
    statistics_of(all, s);
    for (size_t i = 0; i < STATISTICS && status == WA_OK; i++)
        if (all[i].at != NULL)
            status = wa_memory_add(m, all[i].at, n, err);
    for (size_t i = 0; i < s->n_share && status == WA_OK; i++)
        status = wa_memory_add(m, s->share[i], n, err);
    return status;
}

wa_status wa_job_memory(wa_memory *m, const wa_records *r, wa_error *err)
{
    wa_status s = WA_OK;
    for (size_t i = 0; i < r->n_series && s == WA_OK; i++)
        s = add_series(m, &r->series[i], r->n, err);
    return s;
}

size_t wa_job_doubles(const wa_records *r)
{
    size_t arrays = 0;
    for (size_t i = 0; i < r->n_series; i++) {
        statistic all[STATISTICS];
        statistics_of(all, &r->series[i]);
        for (size_t k = 0; k < STATISTICS; k++)
            arrays += all[k].at != NULL;
        arrays += r->series[i].n_share;
    }
    return arrays * r->n;
}
