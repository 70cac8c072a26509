/* campaign.h - one unit beside its reference for a period, as its Lua file describes it.
 *
 * The file is evaluated in a sealed child; what comes back is a plain value. wa_campaign_decode
 * turns that value into these structures and refuses what it does not know: an unknown key is an
 * error that names the nearest known one. Times are nanoseconds since 1970-01-01T00:00:00Z.
 */
#ifndef WINDASSAY_CAMPAIGN_H
#define WINDASSAY_CAMPAIGN_H

#include "windassay/error.h"
#include "windassay/unit.h"
#include "windassay/value.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What a source is in this campaign. */
typedef enum wa_role { WA_ROLE_NONE, WA_ROLE_UNIT, WA_ROLE_REFERENCE } wa_role;

/** Which instant of a sample or interval the stamp in the file names. */
typedef enum wa_stamp { WA_STAMP_START, WA_STAMP_CENTRE, WA_STAMP_END } wa_stamp;

typedef enum wa_time_format {
    WA_TIME_ISO8601, /* with or without fraction and offset; blank or T between             */
    WA_TIME_PATTERN, /* strptime-like: %Y %m %d %H %M %S %y %b %j %f %z and literals        */
    WA_TIME_UNIX     /* seconds since 1970, with or without fraction                        */
} wa_time_format;

/** Local time minus UTC, valid while UTC is before `until`. The last span has INT64_MAX. */
typedef struct wa_zone_span {
    int64_t until;
    int32_t offset_s;
} wa_zone_span;

/** A declared correction of a clock: true time = written time + shift (+ drift since `from`).
 *  Applies to stamps in [from, to) of the written time, already in UTC. */
typedef struct wa_clock_shift {
    int64_t from, to;
    int64_t shift_ns;
    double drift; /* seconds a day, 0 without */
    double u_s;   /* standard uncertainty, s  */
    char *reason;
} wa_clock_shift;

/** How the stamps of a source are written. An empty zone list says that every stamp states its own
 *  offset (`zone = "in stamp"`). */
typedef struct wa_time_rule {
    char *columns[2]; /* one column, or date and time in two */
    size_t n_columns;
    wa_time_format format;
    char *pattern; /* for WA_TIME_PATTERN; two columns are joined by one blank */
    wa_zone_span *zone;
    size_t n_zone;
    wa_stamp stamp;
    int64_t duration_ns; /* how long a sample lasts; 0: an instant. A sample belongs to the
                            interval of its middle; an averaged row lasts its interval. */
    wa_clock_shift *clock;
    size_t n_clock;
} wa_time_rule;

/** A marker of a missing value: a text that must match as a whole, or a number that matches as
 *  a number (-999 and -999.00 alike). */
typedef struct wa_missing {
    bool is_number;
    double number;
    char *text;
} wa_missing;

/** How the files of a source are laid out. Rows count from 1. */
typedef struct wa_layout {
    char delimiter;         /* ',' unless stated                                         */
    char decimal;           /* '.' or ','                                                */
    size_t names_row;       /* 1 unless stated; 0 when names_begin_with is used          */
    size_t units_row;       /* 0: none                                                   */
    size_t first_row;       /* first data row; 0: the row after names (and units)        */
    char *names_begin_with; /* the names row is the first one whose first field is this  */
    char *encoding;         /* "utf-8" (default) or "latin-1"                            */
    wa_missing *missing;    /* the empty field is always missing                         */
    size_t n_missing;
} wa_layout;

typedef enum wa_channel_kind {
    WA_CHANNEL_SCALAR,
    WA_CHANNEL_DIRECTION, /* degrees on the circle: circular mean and resultant */
    WA_CHANNEL_BITS,      /* an integer whose bits mean something               */
    WA_CHANNEL_WORDS      /* an integer (or a text) that is one of several words */
} wa_channel_kind;

/** One named bit, or one word. */
typedef struct wa_flag {
    uint32_t bit; /* bits: 0..31                             */
    char *word;   /* words: the text in the file; else NULL  */
    char *name;
} wa_flag;

/** y = x * slope + offset for values of [from, to), applied after the unit conversion. */
typedef struct wa_affine_span {
    int64_t from, to;
    double slope, offset;
    double lowest, highest; /* calibrated range of y, -inf and inf where not stated */
    char *serial;           /* of the instrument that was fitted; may be NULL       */
} wa_affine_span;

/** One measured quantity of a source. */
typedef struct wa_channel {
    char *name;     /* the key, free                                                    */
    char *quantity; /* CF standard name or a word of ours; the key unless stated        */
    wa_channel_kind kind;
    bool has_height;
    double height; /* m above ground                                                   */
    char *use;     /* "primary", "control", ...; NULL                                  */
    char *instrument;
    char *positive;       /* "towards" or "away" for line-of-sight speeds; else NULL    */
    wa_unit unit_in_file; /* as written; equal to `unit` where the file holds an
                             instrument's raw signal, which `affine` turns into the quantity */
    wa_unit unit;         /* inside: one unit for each quantity                         */
    /* raw sources: the column. Averaged sources: one column a statistic, NULL = not there. */
    char *column;
    char *mean, *sd, *min, *max, *count, *availability, *resultant;
    bool shared;         /* split sources: equal on all rows of a scan                 */
    double north_offset; /* degrees, added to a direction after its unit; 0            */
    double north_u;
    wa_flag *flags; /* bits and words */
    size_t n_flags;
    wa_affine_span *affine; /* calibration history, in order of time; may be empty */
    size_t n_affine;
} wa_channel;

/** Keeps a sample's channels only where `channel` lies within [lowest, highest]. */
typedef struct wa_keep_if {
    size_t channel; /* index into channels */
    double lowest, highest;
    char *reason; /* for samples.csv: "signal below -20 dB" */
} wa_keep_if;

/** What availability is measured against. */
typedef struct wa_expected {
    bool has_beam, has_range;
    double beam, range; /* which beam and range; without: every one */
    int64_t every_ns;
} wa_expected;

typedef enum wa_overlap {
    WA_OVERLAP_ERROR,    /* two rows of the same time (and beam and range): an error      */
    WA_OVERLAP_IDENTICAL /* equal rows count once, differing ones are an error            */
} wa_overlap;

/** One instrument system's files and how to read them. */
typedef struct wa_source {
    char *name;
    wa_role role;
    char **files; /* patterns as written, relative to the campaign's folder, or "root:..." */
    size_t n_files;
    wa_overlap overlap;
    wa_time_rule time;
    wa_layout layout;
    int64_t interval_ns; /* 0: raw samples; else already averaged over this              */
    char *beam_column, *range_column; /* split sources; either may be NULL               */
    double *ranges; /* nominal ranges, m; a row's range belongs to the nearest one within  */
    size_t n_ranges;
    double ranges_within;
    wa_channel *channels;
    size_t n_channels;
    wa_keep_if *keep_if;
    size_t n_keep_if;
    wa_expected *expected;
    size_t n_expected;
    bool divisor_n;    /* sd divides by N instead of N-1 (averaged sources: as declared)      */
    wa_value *prepare; /* the traced formulas (formula.h decodes them); NULL: none    */
    wa_value *done_by_logger; /* what happened before, printed as such; NULL                 */
    bool has_position;
    double east, north; /* m */
} wa_source;

typedef struct wa_phase {
    char *name;
    bool has_beam, has_range;
    double beam, range;
    int64_t from, to;
    wa_value *more; /* the phase as it was written: beam_tilt and the like */
} wa_phase;

/** An entry of the logbook; `exclude` names roles or sources that it makes unusable. */
typedef struct wa_log_entry {
    int64_t from, to;
    char *text, *by;
    char **exclude;
    size_t n_exclude;
} wa_log_entry;

/** What is tried to see how far the outcome of a check hangs on choices (stability.h). */
typedef struct wa_stability {
    bool exclusions, parameters, days; /* each dropped, moved, left out in turn            */
    size_t resamples;                  /* of blocks; 0: none                               */
    size_t length;                     /* of a block; 0: as resample.h chooses             */
    uint32_t seed;                     /* of the first resample; the next have seed + 1, ... */
} wa_stability;

enum { WA_STABILITY_RESAMPLES_MAX = 10000 };

/** One check asked for. */
typedef struct wa_check_entry {
    char *name;         /* of the check file: checks.NAME                                   */
    char *id;           /* unique; the name unless stated                                   */
    char *each;         /* "phase", or NULL                                                 */
    char *contract;     /* the set of criteria that decides; NULL: none                     */
    char **information; /* sets shown beside it                                             */
    size_t n_information;
    wa_value *parameters; /* a map: what the entry sets                                      */
    wa_value *confirmed;  /* a map by parameter: recalled defaults that the laboratory
                             confirmed; NULL */
    wa_stability stability;
} wa_check_entry;

/** One instrument at one place while it was there; `to` is INT64_MAX while it still is. */
typedef struct wa_fitted {
    char *serial;
    int64_t from, to;
} wa_fitted;

/** A place for an instrument ("cup_top") and what was fitted there, in order of time. What the
 *  campaign says beside that (class, certificates) stays in `described`. */
typedef struct wa_instrument {
    char *name;
    wa_fitted *fitted;
    size_t n_fitted;
} wa_instrument;

/** A channel of the interval that is reconstructed from the interval means of a source's beams. */
typedef struct wa_derived {
    char *name;     /* wind_speed or wind_from_direction, which is its quantity, too */
    bool direction; /* the second                                                   */
    size_t source;  /* whose beams                                                  */
    char *channel;  /* their line-of-sight speed                                    */
    bool earth;     /* frame: earth, else nacelle                                   */
    bool vertical;  /* model: u, v, w instead of u, v                               */
    bool has_range, has_height;
    double range, height;        /* m                                                    */
    double heading;              /* degrees; NaN where it is not known                   */
    char *use, *tilt, *roll;     /* may be NULL: channels of the source                 */
    double *azimuth, *elevation; /* degrees, of beam 1, 2, ...                      */
    size_t n_beams;
} wa_derived;

/** What lies on no time grid: a bench sheet, say. */
typedef struct wa_table_entry {
    char *name;
    char *file; /* path as found by wa_file_open */
} wa_table_entry;

/** An earlier dossier whose results checks may read: where it lies, and which one it must be. */
typedef struct wa_use {
    char *dossier; /* its folder: below the campaign's, or "root:..."     */
    char *sha256;  /* of its data/result.json                            */
    char *as;      /* the name that checks call it by                     */
} wa_use;

/** The calibration of an instrument, from an earlier dossier: which file, and which one it must be. */
typedef struct wa_calibration_use {
    size_t source;  /* that it corrects                                           */
    char *file;     /* a calibration.json: below the campaign's folder, or "root:..." */
    char *sha256;   /* of the file                                                */
    char *serial;   /* of the instrument                                          */
    char *despite;  /* why it holds although the unit is not as it was; NULL      */
    bool any_range; /* the laboratory says that it holds at every range           */
} wa_calibration_use;

typedef struct wa_campaign {
    int interface;
    char *title;
    char *folder;                   /* of the campaign file; files are found below it     */
    char *file;                     /* name of the campaign file inside the folder        */
    char *root;                     /* folder with fleet.lua above it; NULL: none         */
    const struct wa_supply *supply; /* where its files come from instead; NULL. Borrowed    */
    int64_t from, to, interval_ns;
    int64_t planned_to; /* equals `to` when nothing was extended              */
    bool divisor_n;
    wa_source *sources;
    size_t n_sources;
    wa_phase *phases;
    size_t n_phases;
    wa_log_entry *logbook;
    size_t n_logbook;
    wa_check_entry *checks;
    size_t n_checks;
    wa_instrument *instruments;
    size_t n_instruments;
    wa_derived *derived;
    size_t n_derived;
    wa_table_entry *tables;
    size_t n_tables;
    wa_use *uses;
    size_t n_uses;
    wa_calibration_use *calibrations;
    size_t n_calibrations;
    wa_use supersedes; /* the dossier that this one replaces: sha256 NULL: none; dossier NULL: only
                          its digest is known; `as` is why                                       */
    char *agreement;   /* file name in the campaign's folder; NULL: not said */
    wa_value *described; /* the whole file as a plain value: report, lidar, disturbed, ... */
    bool running; /* not of the file: it still runs. A last row without a line end is then left out
                     (else it is a row), patterns of files may match nothing yet, and checks say how
                     much data they need */
} wa_campaign;

/**
 * Decodes what the campaign file returned. docs/reference/campaign.md describes every key. A Lua
 * table with the keys 1..n alone arrives as a list; any other as a map whose whole-number keys are
 * written as texts ({ 2.10, "m", u = 0.02 } has the keys "1", "2", "u"). `folder` and `file` say where it lay; `text` is the
 * file itself (used to find the line of a key for messages; may be NULL). Copies everything.
 * WA_ERR_DATA with file, line and key path for anything unknown, absent or out of place.
 */
wa_status wa_campaign_decode(wa_campaign **out, const wa_value *described, const char *folder,
                             const char *file, const char *root, const char *text, wa_error *err);
void wa_campaign_free(wa_campaign *c);

/** Finds the root: the nearest folder, from `folder` upwards, that holds a file fleet.lua. *root is
 *  its absolute path (the caller frees), NULL where there is none. */
wa_status wa_root_find(char **root, const char *folder, wa_error *err);

#ifdef __cplusplus
}
#endif
#endif
