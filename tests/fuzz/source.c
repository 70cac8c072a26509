/* A whole small source: the first byte chooses how it is described, the second how many files the
 * rest is cut into, and around which of its fields quotes are put. One thread and several, any vector
 * level and any size of pieces give the same records or the same error as the parser alone; and what
 * can be read gives the same intervals and samples with quotes. */
#include "../listing_text.h"
#include "fuzz.h"

#include "windassay/records.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#define PERIOD                                                                                     \
    "'interface': 1, 'title': 'Unit NL-0417', 'lidar': {'serial': 'NL-0417'}, 'period': {'from': " \
    "'2026-03-02T00:00:00Z', 'to': '2026-03-02T01:00:00Z', 'interval': '10 min'}, 'roles': "       \
    "{'unit': ['mast']}, 'checks': [['clock']]"

static const char *const CAMPAIGNS[] = {
    /* raw samples of every kind */
    "{" PERIOD ", 'sources': {'mast': {'files': ['*.csv'], 'time': {'column': 'time', 'format': "
    "'iso8601', 'zone': 'UTC', 'stamp': 'end', 'duration': '1 s'}, 'missing': ['NaN', -999], "
    "'expected': {'every': '1 min'}, 'channels': {'v': {'quantity': 'wind_speed', 'column': 'v', "
    "'unit': 'm/s'}, 'd': {'quantity': 'wind_from_direction', 'column': 'd', 'unit': 'degree'}, "
    "'flags': {'column': 'flags', 'kind': 'bits', 'names': {'0': 'window wet', '3': 'warming "
    "up'}}}, 'keep_if': {'v': {'at_least': [0.5, 'm/s']}}}}}",
    /* averages of a logger, with a decimal comma */
    "{" PERIOD ", 'sources': {'mast': {'files': ['*.csv'], 'overlap': 'identical', 'time': "
    "{'column': 'time', 'format': '%d.%m.%Y %H:%M', 'zone': 'UTC+01:00', 'stamp': 'start'}, "
    "'interval': '10 min', 'done_by_logger': {'divisor': 'N'}, 'header': {'names': 1, 'units': 2}, "
    "'delimiter': ';', "
    "'decimal': ',', 'channels': {'v': {'quantity': 'wind_speed', 'mean': 'v mean', 'sd': 'v sd', "
    "'min': 'v min', 'max': 'v max', 'count': 'n', 'unit': 'm/s'}, 'd': {'quantity': "
    "'wind_from_direction', 'mean': 'd', 'unit': 'degree'}}}}}",
    /* beams and ranges in a long file */
    "{" PERIOD ", 'sources': {'mast': {'files': ['*.csv'], 'overlap': 'identical', 'time': "
    "{'column': 'time', 'format': 'unix', 'zone': 'UTC', 'stamp': 'centre', 'duration': '0.25 "
    "s'}, 'header': {'names_begin_with': 'time'}, 'split': {'beam': 'beam', 'range': 'range_m'}, "
    "'ranges': {'at': [140, 240], 'within': 0.6}, "
    "'shared': ['pitch'], 'expected': {'per': 'beam', 'every': '1 min'}, 'channels': "
    "{'los_speed': {'column': 'speed', 'unit': 'm/s', 'positive': 'towards'}, 'pitch': "
    "{'quantity': 'tilt', 'column': 'pitch', 'unit': 'degree'}}}}}",
    /* the same with stamps that differ by their seconds */
    "{" PERIOD ", 'sources': {'mast': {'files': ['*.csv'], 'time': {'column': 'time', 'format': "
    "'iso8601', 'zone': 'UTC', 'stamp': 'start'}, 'missing': [-999], 'split': {'beam': 'beam', "
    "'range': 'range_m'}, 'shared': ['pitch'], 'channels': "
    "{'los_speed': {'column': 'speed', 'unit': 'm/s', 'positive': 'away'}, 'pitch': "
    "{'quantity': 'tilt', 'column': 'pitch', 'unit': 'degree'}}}}}",
};
enum { N_CAMPAIGNS = sizeof CAMPAIGNS / sizeof *CAMPAIGNS, FILES_MOST = 3 };

static char folder[] = "/dev/shm/windassay-fuzz-XXXXXX";
static wa_campaign *campaigns[N_CAMPAIGNS];

static void path_of(char path[64], size_t file)
{
    snprintf(path, 64, "%s/%zu.csv", folder, file);
}

static void clear(void)
{
    char path[64];
    for (size_t i = 0; i < FILES_MOST; i++) {
        path_of(path, i);
        unlink(path);
    }
}

static void clear_all(void)
{
    clear();
    rmdir(folder);
    for (size_t i = 0; i < N_CAMPAIGNS; i++)
        wa_campaign_free(campaigns[i]);
}

static void begin(void)
{
    if (campaigns[0] != NULL)
        return;
    FUZZ_HOLDS(mkdtemp(folder) != NULL);
    for (size_t i = 0; i < N_CAMPAIGNS; i++) {
        wa_value *v = fuzz_json(CAMPAIGNS[i]);
        wa_error err = {0};
        if (wa_campaign_decode(&campaigns[i], v, folder, "campaign.lua", NULL, NULL, &err) != WA_OK)
            fuzz_broken(err.file, (int)i, err.text);
        wa_value_free(v);
    }
    atexit(clear_all);
}

static void write_files(const uint8_t *data, size_t size, size_t files, char delimiter,
                        unsigned quotes)
{
    clear();
    for (size_t i = 0; i < files; i++) {
        char path[64];
        size_t from = size * i / files, to = size * (i + 1) / files;
        path_of(path, i);
        int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
        size_t n;
        uint8_t *text = fuzz_quote(&n, data + from, to - from, delimiter, quotes);
        FUZZ_HOLDS(fd >= 0 && write(fd, text, n) == (ssize_t)n);
        close(fd);
        free(text);
    }
}

/* Everything that a dossier would hold of it, or the error as text and false. Without the bytes of its
 * files where `samples` says so. */
static bool read_source(wa_text *out, const wa_campaign *c, const wa_reading *how, bool samples)
{
    wa_listing listing;
    wa_records *r = NULL;
    wa_error err = {0};
    wa_status s = wa_records_read_as(&r, c, how, &err);
    if (s != WA_OK) {
        FUZZ_HOLDS(r == NULL);
        fuzz_error_is_clean(s, &err);
        wa_text_printf(out, "%s:%zu:%zu: %s (%s)", err.file, err.line, err.column, err.text,
                       err.hint);
        return false;
    }
    FUZZ_HOLDS(r->n == 6);
    FUZZ_HOLDS(listing_text(out, wa_records_list_intervals(&listing, r, c), &listing));
    FUZZ_HOLDS(listing_text(out, wa_records_list_samples(&listing, r, c), &listing));
    FUZZ_HOLDS(samples || wa_records_write_inputs(r, c, out));
    FUZZ_HOLDS(strstr(out->at, "nan") == NULL && strstr(out->at, "inf") == NULL);
    wa_records_free(r);
    return true;
}

static bool equal(const wa_text *a, const wa_text *b)
{
    return a->length == b->length && memcmp(a->at, b->at, a->length) == 0;
}

/* Files that can be read say the same with quotes; whether they can be read at all may hang on the
 * place of a byte, or on its being in front of the names. */
static void compare_with_bare(const wa_campaign *c, const uint8_t *data, size_t size, size_t files,
                              char delimiter, unsigned quotes)
{
    static const wa_reading best = {.jobs = 1, .level = WA_VECTOR_BEST};
    wa_text bare = WA_TEXT_INIT, quoted = WA_TEXT_INIT;
    write_files(data, size, files, delimiter, 0);
    bool good = read_source(&bare, c, &best, true);
    write_files(data, size, files, delimiter, quotes);
    if (good && read_source(&quoted, c, &best, true))
        FUZZ_HOLDS(equal(&bare, &quoted));
    wa_text_release(&bare);
    wa_text_release(&quoted);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 2)
        return 0;
    begin();
    const wa_campaign *c = campaigns[data[0] % N_CAMPAIGNS];
    size_t files = 1 + data[1] % FILES_MOST;
    unsigned quotes = data[1] / FILES_MOST;
    char delimiter = c->sources[0].layout.delimiter;
    write_files(data + 2, size - 2, files, delimiter, quotes);
    static const wa_reading ways[] = {{.jobs = 3, .level = WA_VECTOR_NONE},
                                      {.jobs = 1, .level = WA_VECTOR_PORTABLE},
                                      {.jobs = 1, .level = WA_VECTOR_AVX2, .piece = 1},
                                      {.jobs = 3, .level = WA_VECTOR_PORTABLE, .piece = 100},
                                      {.jobs = 3, .level = WA_VECTOR_SSE2, .piece = 700},
                                      {.jobs = 2, .level = WA_VECTOR_AVX512, .piece = 300}};
    wa_text one = WA_TEXT_INIT;
    read_source(&one, c, &(wa_reading){.jobs = 1, .level = WA_VECTOR_NONE}, false);
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        wa_text other = WA_TEXT_INIT;
        read_source(&other, c, &ways[i], false);
        FUZZ_HOLDS(equal(&one, &other));
        wa_text_release(&other);
    }
    wa_text_release(&one);
    if (quotes > 0)
        compare_with_bare(c, data + 2, size - 2, files, delimiter, quotes);
    return 0;
}
