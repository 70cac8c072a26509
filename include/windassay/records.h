/* records.h - the campaign's grid of averaging intervals with every channel on it.
 *
 * The period is a full grid: interval i covers [from + i*interval, from + (i+1)*interval).
 * A series holds one column a statistic, each with one value an interval; NaN means missing
 * (inside C only: in files it is an empty field, in JSON null, in scripts `missing`).
 */
#ifndef WINDASSAY_RECORDS_H
#define WINDASSAY_RECORDS_H

#include "windassay/campaign.h"
#include "windassay/error.h"
#include "windassay/listing.h"
#include "windassay/text.h"

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** One channel of one source (on a split source: of one beam and range), on the grid. */
typedef struct wa_series {
    size_t source; /* index into campaign->sources                                       */
    char *name;    /* the channel's key, or the name that `prepare` or `derive` gave      */
    char *quantity;
    wa_channel_kind kind;
    wa_unit unit;
    bool has_height;
    double height;
    char *use, *instrument; /* may be NULL */
    bool has_beam, has_range;
    double beam, range;
    /* Statistics: n values each, or NULL where the source does not give it. */
    double *count; /* valid samples                                                  */
    double *mean;  /* directions: circular mean in [0, 360)                           */
    double *sd;    /* divisor as the campaign says; directions: Mardia's, degrees      */
    double *min, *max;
    double *availability; /* count / expected, a ratio; may exceed 1 by a little              */
    double *resultant;    /* directions: length of the mean unit vector                       */
    double **share;       /* bits and words: share of samples with each flag                  */
    char **share_name;
    size_t n_share;
} wa_series;

/** What happened to the samples of one source (beam, range): per interval, by reason. */
typedef struct wa_sample_account {
    size_t source;
    bool has_beam, has_range;
    double beam, range;
    uint32_t *expected; /* NULL where the campaign does not say; averaged sources: 1 row */
    uint32_t *read;
    /* In the order in which a sample meets them; the first counts (docs/reference/reading.md):
     * "equal row again", "keep_if: REASON", "keep_if: REASON: cannot be judged",
     * "missing: CHANNEL", "not calibrated: CHANNEL", "prepare: REASON: CHANNEL", "prepare: REASON:
     * cannot be judged: CHANNEL". For every channel: read = count + those of all + its own. */
    char **reason;
    uint32_t **dropped;
    size_t n_reasons;
} wa_sample_account;

/** One input file as it was read. */
typedef struct wa_input {
    size_t source;
    char *path; /* as found, relative to the campaign's folder or "root:..." */
    uint64_t bytes;
    char sha256[65];
    uint64_t rows;       /* data rows read                               */
    uint64_t outside;    /* of them outside the campaign's period        */
    size_t torn;         /* line of a last row that was left out (campaign.running); 0: none */
    int64_t first, last; /* stamps in UTC, ns                            */
} wa_input;

/** Something that makes intervals unusable for everyone: a logbook entry, a changed
 *  instrument. Applied to every account before the check's own exclusions. */
typedef struct wa_event {
    char *reason;
    uint8_t *mask; /* n bytes, 1 where it applies */
} wa_event;

typedef struct wa_records {
    int64_t from, interval_ns;
    size_t n; /* intervals in the grid */
    wa_series *series;
    size_t n_series;
    wa_sample_account *samples;
    size_t n_samples;
    wa_input *inputs; /* in order of source, then path */
    size_t n_inputs;
    wa_event *events;
    size_t n_events;
} wa_records;

/** Told now and then while reading, from any thread. May be NULL. */
typedef struct wa_progress {
    void (*tell)(void *ctx, uint64_t bytes_done, uint64_t bytes_all);
    void *ctx;
} wa_progress;

/** How plain text is taken apart: many bytes at a time, as the processor can. */
typedef enum wa_vector_level {
    WA_VECTOR_BEST, /* the widest that this processor has            */
    WA_VECTOR_NONE, /* not at all: every row goes through the parser */
    WA_VECTOR_PORTABLE,
    WA_VECTOR_SSE2,
    WA_VECTOR_AVX2,
    WA_VECTOR_AVX512 /* with VBMI2 */
} wa_vector_level;

/** How to read. The records are the same whatever stands here, but for `undigested`: it leaves out
 *  the digests of files that are read in pieces, to measure what they cost. */
typedef struct wa_reading {
    size_t jobs; /* threads                                          */
    wa_vector_level level;
    size_t piece; /* bytes of a file that are one task; 0: as is best */
    bool undigested;
    const wa_progress *progress; /* may be NULL */
} wa_reading;

/**
 * Reads every source of the campaign on `jobs` threads, averages, and joins on the UTC start of
 * the interval. The result does not depend on `jobs`. Errors name file, line and column; of
 * several the one at the smallest (source, file, byte) is reported.
 */
wa_status wa_records_read(wa_records **out, const wa_campaign *campaign, size_t jobs,
                          const wa_progress *progress, wa_error *err);

/** The same, with every choice open; tests and benchmarks make them. */
wa_status wa_records_read_as(wa_records **out, const wa_campaign *campaign, const wa_reading *how,
                             wa_error *err);

/** What an earlier reading of the same campaign wrote (below): open at their starts. */
typedef struct wa_records_files {
    int intervals, samples, inputs;
} wa_records_files;

/**
 * Makes the same records again from those files, without the campaign's own: whatever is computed
 * from them then is computed from equal bits. Derived channels are derived anew, events found anew.
 * The files may be anybody's: they are checked against what the campaign says there must be, and
 * no more memory is taken than they have values. WA_ERR_DATA with file and line for anything else.
 * Owns the descriptors from now on, also when it fails.
 */
wa_status wa_records_read_intervals(wa_records **out, const wa_campaign *campaign,
                                    const wa_records_files *files, wa_error *err);
void wa_records_free(wa_records *r);

/** How files call a series: "mast.v_top", on split sources "lidar.los_speed@beam=1,range=240". */
void wa_series_name(wa_text *out, const wa_series *s, const wa_campaign *c);

/* The CSV files of a dossier: RFC 4180 with line feeds, times in UTC, the shortest numbers that
 * read back, missing values empty. False: memory ran out. The listings look at the records. */

/** data/intervals.csv: one row an interval: the time of its start, then one column a statistic of
 *  each series, "mast.v_top.mean [m s-1]" (pure numbers without a unit). */
bool wa_records_list_intervals(wa_listing *out, const wa_records *r, const wa_campaign *c);
/** data/samples.csv: one row an interval; for each source (beam, range) the samples expected (where
 *  that was stated) and read, and those dropped, one column a reason. */
bool wa_records_list_samples(wa_listing *out, const wa_records *r, const wa_campaign *c);
/** data/inputs.csv: path, source, bytes, sha256, rows, outside, first, last. */
bool wa_records_write_inputs(const wa_records *r, const wa_campaign *c, wa_text *out);

#ifdef __cplusplus
}
#endif
#endif
