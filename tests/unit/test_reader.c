/* Sources through wa_records_read: order of files, cells, accounts, averages, errors. Expected
 * numbers are worked by hand beside each check. */
#include "by_hand.h"

#include "windassay/digest.h"

#include <math.h>

static wa_records *read_well(hand *h, size_t jobs)
{
    wa_records *r = NULL;
    wa_error e = {0};
    if (wa_records_read(&r, &h->campaign, jobs, NULL, &e) != WA_OK)
        fail_msg("%s:%zu:%zu: %s (%s)", e.file, e.line, e.column, e.text, e.hint);
    return r;
}

static void refused(hand *h, const char *file, size_t line, size_t column, const char *text)
{
    wa_records *r = NULL;
    wa_error e = {0};
    wa_status status = wa_records_read(&r, &h->campaign, 2, NULL, &e);
    if (status == WA_OK)
        wa_records_free(r);
    if (status != WA_ERR_DATA || strcmp(e.file, file) != 0 || e.line != line ||
        e.column != column || strstr(e.text, text) == NULL)
        fail_msg("%s:%zu:%zu: %s", e.file, e.line, e.column, e.text);
}

static uint32_t dropped(const wa_sample_account *a, const char *reason, size_t i)
{
    for (size_t k = 0; k < a->n_reasons; k++)
        if (strcmp(a->reason[k], reason) == 0)
            return a->dropped[k][i];
    return 0;
}

/* A source of one scalar channel `v` in a folder of its own, period of one hour. */
static void simple(hand *h, char folder[64])
{
    hand_folder(folder);
    hand_init(h, folder, "time", "2026-03-02T00:00:00Z", "2026-03-02T01:00:00Z");
    hand_files(h, "*.csv");
    hand_channel(h, "v", WA_CHANNEL_SCALAR, "m s-1");
}

static void clear(const char *folder)
{
    const char *const names[] = {"a.csv", "b.csv", "c.csv", "d.csv"};
    for (size_t i = 0; i < 4; i++) {
        char path[256];
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    assert_int_equal(rmdir(folder), 0);
}

static void files_join_in_any_order(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    /* c, then a, then b in time; c and a meet in one interval, b lies inside a's time */
    hand_write(folder, "a.csv",
               "time,v\n2026-03-02T00:12:00Z,3\n2026-03-02T00:14:00Z,7\n"
               "2026-03-02T00:25:00Z,5\n");
    hand_write(folder, "b.csv", "v,time\n5,2026-03-02T00:13:00Z\n6.5,2026-03-02T00:31:00Z\n");
    hand_write(folder, "c.csv",
               "time,v\n2026-03-01T23:59:59Z,99\n2026-03-02T00:00:00Z,1\n"
               "2026-03-02T00:10:00Z,2\n");
    hand_write(folder, "d.csv", "time,v\n");
    for (size_t jobs = 1; jobs <= 3; jobs++) {
        wa_records *r = read_well(&h, jobs);
        const wa_series *v = hand_series(r, "v");
        assert_int_equal(r->n, 6);
        assert_true(v->count[0] == 1 && v->mean[0] == 1 && isnan(v->sd[0]));
        /* 2 3 5 7: mean 4.25, sum of squares 87 - 72.25 = 14.75, / 3 */
        assert_true(v->count[1] == 4 && v->mean[1] == 4.25 && v->sd[1] == sqrt(14.75 / 3));
        assert_true(v->min[1] == 2 && v->max[1] == 7 && v->availability == NULL);
        assert_true(v->mean[2] == 5 && v->mean[3] == 6.5 && v->count[4] == 0);
        assert_true(isnan(v->mean[4]) && isnan(v->max[5]));
        assert_int_equal(r->n_inputs, 4);
        assert_string_equal(r->inputs[2].path, "c.csv");
        assert_int_equal(r->inputs[2].rows, 3);
        assert_int_equal(r->inputs[2].outside, 1);
        assert_true(r->inputs[2].first == hand_time("2026-03-01T23:59:59Z"));
        assert_true(r->inputs[2].last == hand_time("2026-03-02T00:10:00Z"));
        assert_int_equal(r->inputs[3].rows, 0);
        assert_int_equal(r->inputs[3].bytes, 7);
        char sha256[WA_SHA256_TEXT_SIZE];
        assert_int_equal(wa_sha256_of(sha256, "time,v\n", 7, NULL), WA_OK);
        assert_string_equal(r->inputs[3].sha256, sha256);
        assert_int_equal(r->samples[0].read[1], 4);
        assert_null(r->samples[0].expected);
        wa_records_free(r);
    }
    clear(folder);
}

static void equal_rows_count_once_where_allowed(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    hand_write(folder, "a.csv", "time,v\n2026-03-02T00:01:00Z,3\n2026-03-02T00:02:00Z,4\n");
    hand_write(folder, "b.csv", "time,v\n2026-03-02T00:02:00Z,4.0\n2026-03-02T00:03:00Z,5\n");
    refused(&h, "b.csv", 2, 1, "a second row of 2026-03-02T00:02:00Z");
    h.source.overlap = WA_OVERLAP_IDENTICAL;
    wa_records *r = read_well(&h, 1);
    assert_true(hand_series(r, "v")->count[0] == 3 && hand_series(r, "v")->mean[0] == 4);
    assert_int_equal(r->samples[0].read[0], 4);
    assert_int_equal(dropped(&r->samples[0], "equal row again", 0), 1);
    wa_records_free(r);
    hand_write(folder, "b.csv", "time,v\n2026-03-02T00:02:00Z,4.1\n");
    refused(&h, "b.csv", 2, 1, "and its values differ");
    hand_write(folder, "b.csv", "time,v\n2026-03-02T00:12:00Z,4\n2026-03-02T00:02:00Z,4\n");
    refused(&h, "b.csv", 3, 1, "time goes backward by 10 min");
    clear(folder);
}

/* Of several faults the one in the first file is reported, on any number of threads. */
static void the_first_error_is_reported(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    hand_write(folder, "a.csv", "time,v\n2026-03-02T00:01:00Z,3\n2026-03-02T00:02:00Z,calm\n");
    hand_write(folder, "b.csv", "time,w\n2026-03-02T00:02:00Z,4\n");
    refused(&h, "a.csv", 3, 22, "column 'v': 'calm' is not a number");
    hand_write(folder, "a.csv", "time,v\n2026-03-02T00:01:00Z,3\n");
    refused(&h, "b.csv", 1, 1, "source 'mast', channel 'v': no column 'v'");
    clear(folder);
}

static void reasons_add_up(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    wa_keep_if good = {.channel = 1, .lowest = -20, .highest = (double)INFINITY};
    wa_expected every = {.every_ns = 60 * WA_SECOND_NS};
    char reason[] = "signal below -20 dB";
    good.reason = reason;
    hand_channel(&h, "signal", WA_CHANNEL_SCALAR, "dB");
    h.source.keep_if = &good;
    h.source.n_keep_if = 1;
    h.source.expected = &every;
    h.source.n_expected = 1;
    hand_missing_number(&h, -999);
    hand_write(folder, "a.csv",
               "time,v,signal\n2026-03-02T00:01:00Z,3,-10\n2026-03-02T00:02:00Z,-999.00,-12\n"
               "2026-03-02T00:03:00Z,50,-21\n2026-03-02T00:04:00Z,50,\n"
               "2026-03-02T00:05:00Z,5,-20\n");
    wa_records *r = read_well(&h, 1);
    const wa_sample_account *a = &r->samples[0];
    const wa_series *v = hand_series(r, "v"), *signal = hand_series(r, "signal");
    assert_int_equal(a->expected[0], 10);
    assert_int_equal(a->read[0], 5);
    assert_int_equal(dropped(a, "keep_if: signal below -20 dB", 0), 1);
    assert_int_equal(dropped(a, "keep_if: signal below -20 dB: cannot be judged", 0), 1);
    assert_int_equal(dropped(a, "missing: v", 0), 1);
    assert_int_equal(dropped(a, "missing: signal", 0), 0); /* the row was dropped before */
    assert_true(v->count[0] == 5 - 1 - 1 - 1 && v->mean[0] == 4);
    assert_true(signal->count[0] == 5 - 1 - 1 && signal->mean[0] == -14);
    assert_true(v->availability[0] == 0.2 && v->availability[1] == 0);
    wa_records_free(r);
    clear(folder);
}

static void bits_words_and_directions(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    wa_flag bits[] = {{.bit = 0}, {.bit = 3}}, words[] = {{.bit = 1}, {.bit = 2}};
    bits[0].name = hand_text(&h, "window wet");
    bits[1].name = hand_text(&h, "warming up");
    words[0].word = words[0].name = hand_text(&h, "ok");
    words[1].name = hand_text(&h, "rain");
    wa_channel *c = hand_channel(&h, "flags", WA_CHANNEL_BITS, "1");
    c->flags = bits;
    c->n_flags = 2;
    c = hand_channel(&h, "state", WA_CHANNEL_WORDS, "1");
    c->flags = words;
    c->n_flags = 2;
    c = hand_channel(&h, "d", WA_CHANNEL_DIRECTION, "degree");
    c->north_offset = 0.5;
    hand_write(folder, "a.csv",
               "time,v,flags,state,d\n2026-03-02T00:01:00Z,1,9,ok,360\n"
               "2026-03-02T00:02:00Z,1,8,2,0.0\n2026-03-02T00:03:00Z,1,0,,\n"
               "2026-03-02T00:04:00Z,1,4294967295,ok,0\n");
    wa_records *r = read_well(&h, 1);
    const wa_series *f = hand_series(r, "flags"), *s = hand_series(r, "state");
    assert_int_equal(f->n_share, 2);
    assert_string_equal(f->share_name[0], "window wet");
    assert_true(f->share[0][0] == 0.5 && f->share[1][0] == 0.75 && f->mean == NULL);
    assert_true(s->count[0] == 3 && s->share[0][0] == 2.0 / 3 && s->share[1][0] == 1.0 / 3);
    assert_true(isnan(s->share[0][1]));
    const wa_series *d = hand_series(r, "d");
    assert_true(d->mean[0] == 0.5 && d->resultant[0] == 1 && d->sd[0] == 0 && d->min == NULL);
    wa_records_free(r);
    hand_write(folder, "a.csv", "time,v,flags,state,d\n2026-03-02T00:01:00Z,1,9,fog,0\n");
    refused(&h, "a.csv", 2, 26, "'fog' is none of the words of channel 'state'");
    hand_write(folder, "a.csv", "time,v,flags,state,d\n2026-03-02T00:01:00Z,1,9.5,ok,0\n");
    refused(&h, "a.csv", 2, 24, "'9.5' is no set of bits");
    hand_write(folder, "a.csv", "time,v,flags,state,d\n2026-03-02T00:01:00Z,1,9,ok,360.1\n");
    refused(&h, "a.csv", 2, 29, "'360.1' is no direction");
    clear(folder);
}

static void calibration_follows_the_instrument(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    char cup[] = "cup_top";
    wa_affine_span span[] = {{.slope = 2, .offset = 1}, {.slope = -1, .offset = 0}};
    span[0].from = hand_time("2026-03-01T00:00:00Z");
    span[0].to = span[1].from = hand_time("2026-03-02T00:15:00Z");
    span[1].to = hand_time("2026-03-02T00:40:00Z");
    h.channel[0].affine = span;
    h.channel[0].n_affine = 2;
    h.channel[0].instrument = cup;
    hand_write(folder, "a.csv",
               "time,v\n2026-03-02T00:01:00Z,3\n2026-03-02T00:02:00Z,5\n"
               "2026-03-02T00:11:00Z,3\n2026-03-02T00:21:00Z,3\n"
               "2026-03-02T00:22:00Z,4\n2026-03-02T00:41:00Z,3\n");
    wa_records *r = read_well(&h, 1);
    const wa_series *v = hand_series(r, "v");
    assert_true(v->mean[0] == 9 && v->sd[0] == 2 * sqrt(2.0) && v->min[0] == 7 && v->max[0] == 11);
    assert_true(v->count[1] == 0 && isnan(v->mean[1])); /* changed inside: neither applies */
    assert_true(v->mean[2] == -3.5 && v->min[2] == -4 && v->max[2] == -3);
    assert_true(v->count[4] == 0); /* none was fitted */
    assert_int_equal(dropped(&r->samples[0], "not calibrated: v", 1), 1);
    assert_int_equal(dropped(&r->samples[0], "not calibrated: v", 4), 1);
    assert_int_equal(r->n_events, 1);
    assert_string_equal(r->events[0].reason, "instrument changed: cup_top");
    assert_true(r->events[0].mask[1] == 1 && r->events[0].mask[0] == 0 &&
                r->events[0].mask[2] == 0);
    wa_records_free(r);
    clear(folder);
}

/* A sample belongs to the interval of its middle; declared clock shifts move it. */
static void samples_belong_by_their_middle(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    h.source.time.stamp = WA_STAMP_END;
    h.source.time.duration_ns = WA_SECOND_NS;
    hand_write(folder, "a.csv", "time,v\n2026-03-02T00:10:00Z,1\n2026-03-02T00:10:00.6Z,2\n");
    wa_records *r = read_well(&h, 1);
    const wa_series *v = hand_series(r, "v");
    assert_true(v->mean[0] == 1 && v->mean[1] == 2);
    wa_records_free(r);
    wa_clock_shift shift = {.from = INT64_MIN, .to = INT64_MAX, .shift_ns = 600 * WA_SECOND_NS};
    h.source.time.clock = &shift;
    h.source.time.n_clock = 1;
    r = read_well(&h, 1);
    v = hand_series(r, "v");
    assert_true(v->count[0] == 0 && v->mean[1] == 1 && v->mean[2] == 2);
    assert_true(r->inputs[0].first == hand_time("2026-03-02T00:10:00Z")); /* as written */
    wa_records_free(r);
    clear(folder);
}

static void count_bytes(void *ctx, uint64_t done, uint64_t all)
{
    uint64_t *seen = ctx;
    assert_true(done > seen[0] && done <= all);
    seen[0] = done;
    seen[1] = all;
}

/* Date and time in two columns, day first, decimal comma, Latin-1, a preamble; local time. */
static void loggers_write_as_they_like(void **state)
{
    (void)state;
    char folder[64], pattern[] = "%d.%m.%Y %H:%M", latin1[] = "latin-1", name[] = "Zeit";
    hand h;
    simple(&h, folder);
    h.zone[0].offset_s = 3600;
    h.source.time.format = WA_TIME_PATTERN;
    h.source.time.pattern = pattern;
    h.source.time.columns[0] = hand_text(&h, "Tag");
    h.source.time.columns[1] = hand_text(&h, "\xc3\x9chr");
    h.source.time.n_columns = 2;
    h.source.layout = (wa_layout){.delimiter = ';', .decimal = ',', .names_row = 2};
    h.source.layout.encoding = latin1;
    hand_write(folder, "a.csv",
               "\xb0 station;\nTag;\xdchr;v\n02.03.2026;1:05;8,25\n"
               "02.03.2026;01:15; -1,5e1\n");
    uint64_t seen[2] = {0, 0};
    const wa_progress progress = {count_bytes, seen};
    wa_records *r = NULL;
    assert_int_equal(wa_records_read(&r, &h.campaign, 1, &progress, NULL), WA_OK);
    assert_true(hand_series(r, "v")->mean[0] == 8.25 && hand_series(r, "v")->mean[1] == -15);
    assert_true(seen[0] == r->inputs[0].bytes && seen[1] == r->inputs[0].bytes);
    assert_true(r->inputs[0].first == hand_time("2026-03-02T00:05:00Z"));
    wa_records_free(r);
    hand_write(folder, "a.csv", "x;\nTag;\xdchr;v\n02.03.2026;1:05;8.25\n");
    refused(&h, "a.csv", 3, 17, "'8.25' is not a number");
    hand_write(folder, "a.csv", "x;\nTag;\xdchr;v\n31.02.2026;1:05;8,25\n");
    refused(&h, "a.csv", 3, 1, "31.02.2026 1:05");
    h.source.time.columns[0] = name;
    refused(&h, "a.csv", 2, 1, "source 'mast', time: no column 'Zeit'");
    clear(folder);
}

static void long_files_are_split(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    double ranges[] = {140, 190};
    h.source.beam_column = hand_text(&h, "beam");
    h.source.range_column = hand_text(&h, "range");
    h.source.ranges = ranges;
    h.source.n_ranges = 2;
    h.source.ranges_within = 0.6;
    wa_expected every[] = {{.has_beam = true, .beam = 1, .every_ns = 300 * WA_SECOND_NS},
                           {.every_ns = 600 * WA_SECOND_NS}};
    h.source.expected = every;
    h.source.n_expected = 2;
    hand_channel(&h, "pitch", WA_CHANNEL_SCALAR, "degree")->shared = true;
    hand_write(folder, "a.csv",
               "time,beam,range,v,pitch\n2026-03-02T00:01:00Z,2,190.2,4,0.1\n"
               "2026-03-02T00:01:00Z,2,139.5,3,0.10\n2026-03-02T00:02:00Z,1,140,1,0.3\n"
               "2026-03-02T00:03:00Z,1,140.0,2,0.5\n2026-03-02T00:11:00Z,2,140,7,\n");
    wa_records *r = read_well(&h, 2);
    assert_int_equal(r->n_series, 4); /* pitch of all scans, then v by beam and range */
    assert_int_equal(r->n_samples, 4);
    assert_string_equal(r->series[0].name, "pitch");
    assert_false(r->series[0].has_beam);
    assert_true(r->series[0].count[0] == 3 && r->series[0].mean[0] == 0.3);
    assert_null(r->series[0].availability);
    const double want[3][4] = {{1, 140, 1.5, 1}, {2, 140, 3, 1}, {2, 190, 4, 1}};
    for (size_t i = 0; i < 3; i++) {
        const wa_series *v = &r->series[i + 1];
        assert_true(v->beam == want[i][0] && v->range == want[i][1] && v->mean[0] == want[i][2]);
        assert_true(v->has_beam && v->has_range && v->availability[0] == want[i][3]);
    }
    assert_true(r->series[2].mean[1] == 7 && r->series[1].count[1] == 0);
    assert_int_equal(dropped(&r->samples[0], "missing: pitch", 1), 1);
    wa_records_free(r);
    hand_write(folder, "b.csv", "time,beam,range,v,pitch\n2026-03-02T00:31:00Z,2,150,4,0.1\n");
    refused(&h, "b.csv", 2, 24, "range 150 m is not within 0.6 m of a stated one");
    hand_write(folder, "b.csv",
               "time,beam,range,v,pitch\n2026-03-02T00:31:00Z,2,140,4,0.1\n"
               "2026-03-02T00:31:00Z,2,190,4,0.2\n");
    refused(&h, "b.csv", 3, 30, "channel 'pitch' differs between rows of one scan");
    hand_write(folder, "b.csv",
               "time,beam,range,v,pitch\n2026-03-02T00:31:00Z,2,140,4,0.1\n"
               "2026-03-02T00:31:00Z,2,140,4,0.1\n");
    refused(&h, "b.csv", 3, 1, "a second row");
    clear(folder);
}

static void averages_are_taken_over(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    h.source.interval_ns = 600 * WA_SECOND_NS;
    h.source.time.stamp = WA_STAMP_END;
    h.source.layout.units_row = 2;
    h.source.layout.decimal = ',';
    h.source.layout.delimiter = ';';
    wa_channel *v = &h.channel[0];
    v->column = NULL;
    v->mean = hand_text(&h, "v mean");
    v->sd = hand_text(&h, "v sd");
    v->max = hand_text(&h, "v max");
    v->count = hand_text(&h, "n");
    v->availability = hand_text(&h, "a");
    assert_int_equal(wa_unit_parse(&v->unit_in_file, "km h-1", NULL), WA_OK);
    wa_affine_span span = {.from = INT64_MIN, .to = INT64_MAX, .slope = -2, .offset = 1};
    v->affine = &span;
    v->n_affine = 1;
    wa_channel *d = hand_channel(&h, "d", WA_CHANNEL_DIRECTION, "degree");
    d->north_offset = -0.5;
    const char *head = "time;v mean;v sd;v max;n;a;d\n;km/h;km/h;km/h;;%;degree\n";
    char text[512];
    snprintf(text, sizeof text,
             "%s2026-03-02T00:10:00Z;36;1,8;72;599;99,5;0,25\n2026-03-02T00:30:00Z;;;;0;0;10\n",
             head);
    hand_write(folder, "a.csv", text);
    wa_records *r = read_well(&h, 1);
    const wa_series *s = hand_series(r, "v");
    assert_true(fabs(s->mean[0] - -19) < 1e-14 && fabs(s->sd[0] - 1) < 1e-15);
    /* the slope is below 0: the greatest is what was least in the file, which it does not give */
    assert_true(s->min == NULL && isnan(s->max[0]));
    assert_true(s->count[0] == 599 && s->availability[0] == 0.995);
    assert_true(isnan(s->mean[1]) && isnan(s->mean[2]) && isnan(s->count[1]));
    assert_true(hand_series(r, "d")->mean[0] == 359.75 && hand_series(r, "d")->mean[2] == 9.5);
    assert_int_equal(r->samples[0].expected[5], 1);
    assert_int_equal(r->samples[0].read[0], 1);
    assert_int_equal(r->samples[0].read[1], 0);
    assert_int_equal(dropped(&r->samples[0], "missing: v", 2), 1);
    wa_records_free(r);
    /* a clock is corrected by whole intervals only, the nearest */
    wa_clock_shift shift = {.from = INT64_MIN, .to = INT64_MAX, .shift_ns = 620 * WA_SECOND_NS};
    h.source.time.clock = &shift;
    h.source.time.n_clock = 1;
    r = read_well(&h, 1);
    assert_true(isnan(hand_series(r, "d")->mean[0]) && hand_series(r, "d")->mean[1] == 359.75);
    wa_records_free(r);
    h.source.time.n_clock = 0;
    snprintf(text, sizeof text, "%s2026-03-02T00:11:00Z;36;1,8;72;599;99,5;0,25\n", head);
    hand_write(folder, "a.csv", text);
    refused(&h, "a.csv", 3, 1,
            "an average that starts at 2026-03-02T00:01:00Z does not coincide with an interval");
    hand_write(folder, "a.csv", "time;v mean;v sd;v max;n;a;d\n;m/s;km/h;km/h;;%;degree\n");
    refused(&h, "a.csv", 2, 2, "the unit is 'm/s' here, 'km h-1' in the campaign");
    snprintf(text, sizeof text, "%s2026-03-02T00:10:00Z;36;-1;72;599;99,5;0,25\n", head);
    hand_write(folder, "a.csv", text);
    refused(&h, "a.csv", 3, 25, "'-1' is no standard deviation");
    clear(folder);
}

static void same_column(const double *a, const double *b, size_t n)
{
    assert_true((a == NULL) == (b == NULL));
    if (a != NULL)
        assert_memory_equal(a, b, n * sizeof *a);
}

static void same_records(const wa_records *a, const wa_records *b)
{
    assert_int_equal(a->n_series, b->n_series);
    assert_int_equal(a->n_samples, b->n_samples);
    for (size_t i = 0; i < a->n_series; i++) {
        const wa_series *x = &a->series[i], *y = &b->series[i];
        assert_string_equal(x->name, y->name);
        assert_true(x->beam == y->beam);
        same_column(x->count, y->count, a->n);
        same_column(x->mean, y->mean, a->n);
        same_column(x->sd, y->sd, a->n);
        same_column(x->min, y->min, a->n);
        same_column(x->max, y->max, a->n);
        same_column(x->resultant, y->resultant, a->n);
    }
    for (size_t i = 0; i < a->n_samples; i++) {
        const wa_sample_account *x = &a->samples[i], *y = &b->samples[i];
        assert_memory_equal(x->read, y->read, a->n * sizeof *x->read);
        assert_int_equal(x->n_reasons, y->n_reasons);
        for (size_t k = 0; k < x->n_reasons; k++) {
            assert_string_equal(x->reason[k], y->reason[k]);
            assert_memory_equal(x->dropped[k], y->dropped[k], a->n * sizeof **x->dropped);
        }
    }
}

static void same_inputs(const wa_records *a, const wa_records *b)
{
    assert_int_equal(a->n_inputs, b->n_inputs);
    for (size_t i = 0; i < a->n_inputs; i++) {
        const wa_input *x = &a->inputs[i], *y = &b->inputs[i];
        assert_string_equal(x->path, y->path);
        assert_string_equal(x->sha256, y->sha256);
        assert_true(x->rows == y->rows && x->outside == y->outside && x->bytes == y->bytes &&
                    x->first == y->first && x->last == y->last);
    }
}

/* One day of rows, 20 s apart, two beams in turn, cut into files of `rows[]` rows in a random
 * order of names; with `repeat` each file begins with the last rows of the one before. */
static void write_day(const char *folder, size_t files, size_t repeat)
{
    enum { ROWS = 4320 };
    static char text[1 << 18];
    for (size_t f = 0; f < files; f++) {
        size_t begin = f * ROWS / files, end = (f + 1) * ROWS / files;
        size_t n = (size_t)sprintf(text, "time,beam,v,d\n");
        for (size_t i = begin < repeat ? 0 : begin - repeat; i < end; i++) {
            char time[WA_TIME_TEXT_SIZE];
            wa_time_print(time, hand_time("2026-03-01T23:00:00Z") + (int64_t)i * 20 * WA_SECOND_NS);
            n += (size_t)sprintf(text + n, "%s,%zu,%zu.%02zu,%zu\n", time, i % 2, i * 7919 % 23,
                                 i * 104729 % 100, i * 31 % 360);
        }
        char name[32];
        sprintf(name, "f%02zu.csv", f * 7 % 16);
        hand_write(folder, name, text);
    }
}

/* Any number of threads, any cut into files, files that overlap: the same records. */
static void threads_and_files_do_not_matter(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    h.campaign.to = hand_time("2026-03-02T20:00:00Z");
    h.source.beam_column = hand_text(&h, "beam");
    h.source.overlap = WA_OVERLAP_IDENTICAL;
    hand_channel(&h, "d", WA_CHANNEL_DIRECTION, "degree");
    write_day(folder, 1, 0);
    wa_records *one = read_well(&h, 1);
    assert_true(one->series[0].count[0] == 15 && one->n_series == 4);
    for (size_t files = 2; files <= 16; files += 7) { /* 2, 9, 16 */
        for (size_t repeat = 0; repeat <= 90; repeat += 45) {
            write_day(folder, files, repeat);
            wa_records *serial = read_well(&h, 1);
            if (repeat == 0)
                same_records(one, serial);
            same_column(one->series[2].mean, serial->series[2].mean, one->n);
            for (size_t jobs = 2; jobs <= 5; jobs++) {
                wa_records *r = read_well(&h, jobs);
                same_records(serial, r);
                same_inputs(serial, r);
                wa_records_free(r);
            }
            wa_records_free(serial);
        }
    }
    wa_records_free(one);
    /* and the same error: of two faults the one that comes first in time */
    hand_write(folder, "f07.csv", "time,beam,v,d\n2026-03-02T01:00:00Z,1,x,0\n");
    hand_write(folder, "f03.csv", "time,beam,v,d\n2026-03-02T12:00:00Z,1,y,0\n");
    refused(&h, "f07.csv", 2, 24, "'x' is not a number");
    for (size_t f = 0; f < 16; f++) {
        char name[32];
        sprintf(name, "f%02zu.csv", f);
        hand_remove(folder, name);
    }
    clear(folder);
}

static wa_value *node(const char *op, double a, double b, const char *name)
{
    wa_value *v = wa_map();
    assert_true(wa_map_set(v, "op", wa_string(op)));
    assert_true(a <= 0 || wa_map_set(v, "a", wa_number(a)));
    assert_true(b <= 0 || wa_map_set(v, "b", wa_number(b)));
    assert_true(name == NULL || wa_map_set(v, "name", wa_string(name)));
    return v;
}

/* prepare = function(s) s:drop("window wet", s.flags:has("window wet"), { "v" })
 *                       s:add("twice", s.v + s.v) end */
static wa_value *prepare_by_hand(void)
{
    wa_value *nodes = wa_list(), *adds = wa_list(), *drops = wa_list();
    wa_value *add = wa_map(), *drop = wa_map(), *channels = wa_list(), *all = wa_map();
    assert_true(wa_list_add(nodes, node("channel", 0, 0, "flags")));
    assert_true(wa_list_add(nodes, node("has", 1, 0, "window wet")));
    assert_true(wa_list_add(nodes, node("channel", 0, 0, "v")));
    assert_true(wa_list_add(nodes, node("add", 3, 3, NULL)));
    assert_true(wa_map_set(add, "name", wa_string("twice")));
    assert_true(wa_map_set(add, "node", wa_number(4)));
    assert_true(wa_list_add(adds, add));
    assert_true(wa_list_add(channels, wa_string("v")));
    assert_true(wa_map_set(drop, "reason", wa_string("window wet")));
    assert_true(wa_map_set(drop, "mask", wa_number(2)));
    assert_true(wa_map_set(drop, "channels", channels));
    assert_true(wa_list_add(drops, drop));
    assert_true(wa_map_set(all, "nodes", nodes) && wa_map_set(all, "adds", adds) &&
                wa_map_set(all, "drops", drops));
    return all;
}

static void prepare_drops_and_adds(void **state)
{
    (void)state;
    char folder[64];
    hand h;
    simple(&h, folder);
    wa_flag wet = {.bit = 2};
    wet.name = hand_text(&h, "window wet");
    wa_channel *flags = hand_channel(&h, "flags", WA_CHANNEL_BITS, "1");
    flags->flags = &wet;
    flags->n_flags = 1;
    h.source.prepare = prepare_by_hand();
    hand_write(folder, "a.csv",
               "time,v,flags\n2026-03-02T00:01:00Z,1,0\n2026-03-02T00:02:00Z,50,4\n"
               "2026-03-02T00:03:00Z,2.5,3\n2026-03-02T00:04:00Z,60,\n2026-03-02T00:05:00Z,,7\n");
    wa_records *r = read_well(&h, 1);
    const wa_series *v = hand_series(r, "v"), *twice = hand_series(r, "twice");
    const wa_sample_account *a = &r->samples[0];
    assert_true(v->count[0] == 2 && v->mean[0] == 1.75 && v->max[0] == 2.5);
    assert_true(twice->count[0] == 4 && twice->mean[0] == 56.75 && twice->min[0] == 2);
    assert_string_equal(twice->unit.text, v->unit.text);
    assert_true(hand_series(r, "flags")->count[0] == 4); /* the drop names v alone */
    assert_int_equal(a->read[0], 5);
    assert_int_equal(dropped(a, "prepare: window wet: v", 0), 1);
    assert_int_equal(dropped(a, "prepare: window wet: cannot be judged: v", 0), 1);
    assert_int_equal(dropped(a, "missing: v", 0), 1);
    assert_int_equal(dropped(a, "missing: twice", 0), 1);
    wa_records_free(r);
    /* the same on a source that is averaged already: a row is one sample */
    h.source.interval_ns = 600 * WA_SECOND_NS;
    hand_write(folder, "a.csv",
               "time,v,flags\n2026-03-02T00:00:00Z,1,0\n"
               "2026-03-02T00:10:00Z,50,4\n2026-03-02T00:20:00Z,5,0\n");
    r = read_well(&h, 1);
    v = hand_series(r, "v");
    twice = hand_series(r, "twice");
    assert_true(v->mean[0] == 1 && isnan(v->mean[1]) && v->mean[2] == 5);
    assert_true(twice->mean[0] == 2 && twice->mean[1] == 100 && twice->sd == NULL);
    assert_int_equal(dropped(&r->samples[0], "prepare: window wet: v", 1), 1);
    wa_records_free(r);
    wa_value_free(h.source.prepare);
    clear(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files_join_in_any_order),
        cmocka_unit_test(equal_rows_count_once_where_allowed),
        cmocka_unit_test(the_first_error_is_reported),
        cmocka_unit_test(reasons_add_up),
        cmocka_unit_test(bits_words_and_directions),
        cmocka_unit_test(calibration_follows_the_instrument),
        cmocka_unit_test(samples_belong_by_their_middle),
        cmocka_unit_test(loggers_write_as_they_like),
        cmocka_unit_test(long_files_are_split),
        cmocka_unit_test(averages_are_taken_over),
        cmocka_unit_test(prepare_drops_and_adds),
        cmocka_unit_test(threads_and_files_do_not_matter),
    };
    return cmocka_run_group_tests_name("reader", tests, NULL, NULL);
}
