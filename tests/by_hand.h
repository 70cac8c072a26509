/* by_hand.h - campaigns built in C for tests of the data layer, without a campaign file. */
#ifndef TESTS_BY_HAND_H
#define TESTS_BY_HAND_H

#include "windassay/records.h"
#include "windassay/time.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

enum { HAND_CHANNELS = 16 };

/* One source with room for what tests set; `campaign` is ready for wa_records_read. */
typedef struct hand {
    char folder[64];
    char text[32][64];
    size_t n_text;
    char *files[8];
    wa_zone_span zone[1];
    wa_missing missing[4];
    wa_channel channel[HAND_CHANNELS];
    wa_source source;
    wa_campaign campaign;
} hand;

/* A writable copy: the structures of campaign.h own their texts. */
static inline char *hand_text(hand *h, const char *text)
{
    assert_true(h->n_text < 32 && strlen(text) < 64);
    return strcpy(h->text[h->n_text++], text);
}

static inline int64_t hand_time(const char *text)
{
    int64_t t = 0;
    assert_int_equal(wa_instant_parse(&t, text, strlen(text), NULL), WA_OK);
    return t;
}

/* A raw source of comma-separated files with ISO 8601 times in column `time`, UTC. */
static inline void hand_init(hand *h, const char *folder, const char *time, const char *from,
                             const char *to)
{
    memset(h, 0, sizeof *h);
    h->zone[0] = (wa_zone_span){INT64_MAX, 0};
    h->source.name = hand_text(h, "mast");
    h->source.files = h->files;
    h->source.layout = (wa_layout){.delimiter = ',', .decimal = '.', .names_row = 1};
    h->source.layout.missing = h->missing;
    h->source.time = (wa_time_rule){.n_columns = 1, .zone = h->zone, .n_zone = 1};
    h->source.time.columns[0] = hand_text(h, time);
    h->source.channels = h->channel;
    h->campaign = (wa_campaign){.interface = 1, .sources = &h->source, .n_sources = 1};
    h->campaign.folder = (char *)(uintptr_t)folder;
    h->campaign.from = hand_time(from);
    h->campaign.to = hand_time(to);
    h->campaign.interval_ns = 600 * WA_SECOND_NS;
}

static inline void hand_files(hand *h, const char *pattern)
{
    h->files[h->source.n_files++] = hand_text(h, pattern);
}

static inline void hand_missing_text(hand *h, const char *text)
{
    h->missing[h->source.layout.n_missing++] = (wa_missing){.text = hand_text(h, text)};
}

static inline void hand_missing_number(hand *h, double number)
{
    h->missing[h->source.layout.n_missing++] = (wa_missing){.is_number = true, .number = number};
}

/* A channel that is called like its column. */
static inline wa_channel *hand_channel(hand *h, const char *name, wa_channel_kind kind,
                                       const char *unit)
{
    assert_true(h->source.n_channels < HAND_CHANNELS);
    wa_channel *c = &h->channel[h->source.n_channels++];
    c->name = c->quantity = c->column = (char *)(uintptr_t)name;
    c->kind = kind;
    assert_int_equal(wa_unit_parse(&c->unit_in_file, unit, NULL), WA_OK);
    c->unit = wa_unit_inside(&c->unit_in_file);
    return c;
}

/* An empty folder below /tmp; its files are removed by hand_remove_folder. */
static inline void hand_folder(char to[64])
{
    strcpy(to, "/tmp/windassay-test-XXXXXX");
    assert_non_null(mkdtemp(to));
}

static inline void hand_write(const char *folder, const char *name, const char *text)
{
    char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    assert_true(fputs(text, f) >= 0);
    assert_int_equal(fclose(f), 0);
}

static inline void hand_remove(const char *folder, const char *name)
{
    char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    assert_int_equal(unlink(path), 0);
}

static inline const wa_series *hand_series(const wa_records *r, const char *name)
{
    for (size_t i = 0; i < r->n_series; i++)
        if (strcmp(r->series[i].name, name) == 0)
            return &r->series[i];
    fail_msg("no series '%s'", name);
    return NULL;
}

#endif
