/* The CSV files of records, byte for byte, on a grid small enough to be written by hand. */
#include "listing_text.h"
#include "windassay/records.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { N = 2 };

static char mast[] = "mast", lidar[] = "lidar", v_top[] = "v_top", los[] = "los_speed", t[] = "t";
static char d_top[] = "d_top", status[] = "status", wet[] = "window wet", odd[] = "a, \"b\"";
static wa_source sources[2] = {{.name = lidar}, {.name = mast}};
static wa_campaign campaign = {.sources = sources, .n_sources = 2};

static double mean[N] = {7.25, (double)NAN}, sd[N] = {0.1, (double)NAN}, count[N] = {600, 0},
              share[N] = {0.25, (double)NAN};
static double tiny[N] = {-0.0, 1e-300};

static wa_unit unit(const char *text)
{
    wa_unit u;
    assert_int_equal(wa_unit_parse(&u, text, NULL), WA_OK);
    return u;
}

static wa_records empty(void)
{
    return (wa_records){.from = 1772409600000000000, .interval_ns = 600000000000, .n = N};
}

static void intervals(void **state)
{
    wa_listing listing;
    (void)state;
    char *names[] = {wet};
    double *shares[] = {share};
    wa_series series[] = {
        {.source = 0,
         .name = los,
         .unit = unit("m/s"),
         .has_beam = true,
         .beam = 1,
         .has_range = true,
         .range = 240,
         .mean = mean,
         .count = count,
         .availability = share},
        {.source = 0,
         .name = status,
         .unit = wa_unit_one(),
         .has_range = true,
         .range = 189.5,
         .share = shares,
         .share_name = names,
         .n_share = 1},
        {.source = 1, .name = v_top, .unit = unit("m s-1"), .mean = mean, .sd = sd, .min = tiny},
        {.source = 1, .name = t, .unit = unit("degC"), .mean = mean, .sd = sd},
        {.source = 1, .name = d_top, .unit = unit("degree"), .mean = mean, .resultant = share},
    };
    wa_records r = empty();
    r.series = series;
    r.n_series = 5;
    wa_text out = WA_TEXT_INIT;
    assert_true(listing_text(&out, wa_records_list_intervals(&listing, &r, &campaign), &listing));
    assert_string_equal(
        wa_text_string(&out),
        "time,\"lidar.los_speed@beam=1,range=240.count\","
        "\"lidar.los_speed@beam=1,range=240.mean [m s-1]\","
        "\"lidar.los_speed@beam=1,range=240.availability\","
        "lidar.status@range=189.5.share.window wet,"
        "mast.v_top.mean [m s-1],mast.v_top.sd [m s-1],mast.v_top.min [m s-1],"
        "mast.t.mean [degC],mast.t.sd [K],mast.d_top.mean [degree],mast.d_top.resultant\n"
        "2026-03-02T00:00:00Z,600,7.25,0.25,0.25,7.25,0.1,0,7.25,0.1,7.25,0.25\n"
        "2026-03-02T00:10:00Z,0,,,,,,1e-300,,,,\n");
    wa_text_release(&out);
}

static void samples(void **state)
{
    wa_listing listing;
    (void)state;
    uint32_t expected[N] = {600, 600}, got[N] = {599, 4294967295u}, none[N] = {0, 17};
    char *reasons[] = {wet, odd};
    uint32_t *dropped[] = {none, got};
    wa_sample_account accounts[] = {
        {.source = 0,
         .has_beam = true,
         .beam = 2,
         .expected = expected,
         .read = got,
         .reason = reasons,
         .dropped = dropped,
         .n_reasons = 2},
        {.source = 1, .read = none},
    };
    wa_records r = empty();
    r.samples = accounts;
    r.n_samples = 2;
    wa_text out = WA_TEXT_INIT;
    assert_true(listing_text(&out, wa_records_list_samples(&listing, &r, &campaign), &listing));
    assert_string_equal(wa_text_string(&out),
                        "time,lidar@beam=2.expected,lidar@beam=2.read,"
                        "lidar@beam=2.dropped: window wet,"
                        "\"lidar@beam=2.dropped: a, \"\"b\"\"\",mast.read\n"
                        "2026-03-02T00:00:00Z,600,599,0,599,0\n"
                        "2026-03-02T00:10:00Z,600,4294967295,17,4294967295,17\n");
    wa_text_release(&out);
}

static void inputs(void **state)
{
    (void)state;
    char path[] = "raw/2026-03-02, first.csv.gz", other[] = "root:masts/2026-03.csv";
    wa_input files[] = {{.source = 0,
                         .path = path,
                         .bytes = 12345678901,
                         .sha256 = "ab12",
                         .rows = 86400,
                         .outside = 3,
                         .first = 1772409600250000000,
                         .last = 1772496000000000000},
                        {.source = 1, .path = other, .bytes = 20, .sha256 = "00ff"}};
    wa_records r = empty();
    r.inputs = files;
    r.n_inputs = 2;
    wa_text out = WA_TEXT_INIT;
    assert_true(wa_records_write_inputs(&r, &campaign, &out));
    assert_string_equal(wa_text_string(&out),
                        "path,source,bytes,sha256,rows,outside,first,last\n"
                        "\"raw/2026-03-02, first.csv.gz\",lidar,12345678901,ab12,86400,3,"
                        "2026-03-02T00:00:00.25Z,2026-03-03T00:00:00Z\n"
                        "root:masts/2026-03.csv,mast,20,00ff,0,0,,\n");
    wa_text_release(&out);
}

static void nothing_at_all(void **state)
{
    wa_listing listing;
    (void)state;
    wa_records r = empty();
    r.n = 0;
    wa_text out = WA_TEXT_INIT;
    assert_true(listing_text(&out, wa_records_list_intervals(&listing, &r, &campaign), &listing));
    assert_true(listing_text(&out, wa_records_list_samples(&listing, &r, &campaign), &listing));
    assert_string_equal(wa_text_string(&out), "time\ntime\n");
    wa_text_release(&out);
}

/* Every number reads back as it was: 10^5 of them. */
static void numbers_read_back(void **state)
{
    wa_listing listing;
    (void)state;
    enum { MANY = 100000 };
    double *x = malloc(MANY * sizeof *x);
    assert_non_null(x);
    for (int i = 0; i < MANY; i++)
        x[i] = (double)(i - 500) / 7.0 * (i % 3 == 0 ? 1e-7 : 1.0);
    wa_series s = {.source = 1, .name = v_top, .unit = unit("m s-1"), .mean = x};
    wa_records r = empty();
    r.n = MANY;
    r.series = &s;
    r.n_series = 1;
    wa_text out = WA_TEXT_INIT;
    assert_true(listing_text(&out, wa_records_list_intervals(&listing, &r, &campaign), &listing));
    const char *at = strchr(out.at, '\n');
    for (int i = 0; i < MANY; i++) {
        at = strchr(at, ',');
        assert_non_null(at);
        char *end;
        double back = strtod(++at, &end);
        assert_true(*end == '\n' && !(back < x[i]) && !(back > x[i]));
    }
    wa_text_release(&out);
    free(x);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(intervals),
        cmocka_unit_test(samples),
        cmocka_unit_test(inputs),
        cmocka_unit_test(nothing_at_all),
        cmocka_unit_test(numbers_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
