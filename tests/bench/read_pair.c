/* read_pair.c - reading and averaging alone, without cells, scripts and dossier: for the gate of
 * instructions (gate.sh) and for profiles. FOLDER holds lidar.csv and mast.csv as gen.c writes them.
 *
 *   read_pair FOLDER JOBS FROM TO [LEVEL [PIECE [undigested]]]
 */
#include "../listing_text.h"
#include "windassay/digest.h"
#include "windassay/records.h"
#include "windassay/time.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct table {
    const char *file, *name, *columns[16], *units[16];
} table;

static const table lidar = {"lidar.csv",
                            "lidar",
                            {"rws1", "rws2", "rws3", "rws4", "cnr1", "cnr2", "cnr3", "cnr4",
                             "status1", "status2", "status3", "status4", "tilt", "roll", "temp"},
                            {"m/s", "m/s", "m/s", "m/s", "dB", "dB", "dB", "dB", "1", "1", "1", "1",
                             "degree", "degree", "degC"}};
static const table mast = {"mast.csv",
                           "mast",
                           {"cup1", "cup2", "cup3", "vane1", "vane2", "temp", "rh", "press"},
                           {"m/s", "m/s", "m/s", "degree", "degree", "degC", "%", "hPa"}};

static char *copy(const char *text)
{
    return strdup(text);
}

static void fill(wa_source *s, const table *t)
{
    s->name = copy(t->name);
    s->files = malloc(sizeof *s->files);
    s->files[s->n_files++] = copy(t->file);
    s->layout = (wa_layout){.delimiter = ',', .decimal = '.', .names_row = 1};
    s->layout.missing = calloc(1, sizeof *s->layout.missing);
    s->layout.missing[s->layout.n_missing++].text = copy("NaN");
    s->time.columns[s->time.n_columns++] = copy("timestamp");
    s->time.zone = calloc(1, sizeof *s->time.zone);
    s->time.zone[s->time.n_zone++].until = INT64_MAX;
    s->channels = calloc(16, sizeof *s->channels);
    for (; t->columns[s->n_channels] != NULL; s->n_channels++) {
        wa_channel *c = &s->channels[s->n_channels];
        c->name = c->quantity = c->column = copy(t->columns[s->n_channels]);
        c->kind = strncmp(c->name, "vane", 4) == 0 ? WA_CHANNEL_DIRECTION : WA_CHANNEL_SCALAR;
        wa_unit_parse(&c->unit_in_file, t->units[s->n_channels], NULL);
        c->unit = wa_unit_inside(&c->unit_in_file);
    }
}

/* One digest of all that a dossier would hold of the records. */
static int tell(const wa_records *r, const wa_campaign *c)
{
    wa_listing listing;
    wa_text all = WA_TEXT_INIT;
    char digest[WA_SHA256_TEXT_SIZE];
    bool good = listing_text(&all, wa_records_list_intervals(&listing, r, c), &listing) &&
                listing_text(&all, wa_records_list_samples(&listing, r, c), &listing) &&
                wa_records_write_inputs(r, c, &all) &&
                wa_sha256_of(digest, all.at, all.length, NULL) == WA_OK;
    if (good)
        printf("%zu intervals, %zu series, %s\n", r->n, r->n_series, digest);
    wa_text_release(&all);
    return good ? 0 : 71;
}

int main(int argc, char **argv)
{
    static const char *const levels[] = {"best", "none", "portable", "sse2", "avx2", "avx512"};
    wa_source source[2] = {0};
    wa_campaign c = {.sources = source, .n_sources = 2, .interval_ns = 600 * WA_SECOND_NS};
    wa_records *r = NULL;
    wa_error e = {0};
    if (argc < 5 || argc > 8 || wa_instant_parse(&c.from, argv[3], strlen(argv[3]), &e) != WA_OK ||
        wa_instant_parse(&c.to, argv[4], strlen(argv[4]), &e) != WA_OK) {
        fprintf(stderr, "read_pair FOLDER JOBS FROM TO [LEVEL [PIECE [undigested]]] %s\n", e.text);
        return 64;
    }
    wa_reading how = {.jobs = strtoul(argv[2], NULL, 10)};
    for (int i = 0; argc > 5 && i < 6; i++)
        if (strcmp(argv[5], levels[i]) == 0)
            how.level = (wa_vector_level)i;
    how.undigested = argc > 7;
    how.piece = argc > 6 ? strtoul(argv[6], NULL, 10) : 0;
    fill(&source[0], &lidar);
    fill(&source[1], &mast);
    c.folder = argv[1];
    if (wa_records_read_as(&r, &c, &how, &e) != WA_OK) {
        fprintf(stderr, "%s:%zu:%zu: %s\n", e.file, e.line, e.column, e.text);
        return 65;
    }
    int code = tell(r, &c);
    wa_records_free(r);
    return code;
}
