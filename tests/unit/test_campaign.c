/* The example campaign of the design decodes as it stands, and every fault that is planted into it
 * is found, named and placed. */
#include "windassay/campaign.h"

#include "windassay/json.h"
#include "windassay/time.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static char *json, *lua;

static char *read_whole(const char *path)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    char *text = calloc(1, 65536);
    assert_non_null(text);
    size_t n = fread(text, 1, 65535, f);
    assert_true(n > 0 && n < 65535);
    fclose(f);
    return text;
}

static int read_files(void **state)
{
    (void)state;
    json = read_whole(WA_TESTS_DIR "/data/campaign.json");
    lua = read_whole(WA_TESTS_DIR "/data/campaign.lua");
    return 0;
}

static int free_files(void **state)
{
    (void)state;
    free(json);
    free(lua);
    return 0;
}

/* The example with the first `from` replaced. */
static wa_status decode(wa_campaign **c, const char *from, const char *to, wa_error *err)
{
    wa_text t = WA_TEXT_INIT;
    const char *at = from == NULL ? json + strlen(json) : strstr(json, from);
    if (at == NULL)
        fail_msg("the example does not hold %s", from);
    wa_text_add_bytes(&t, json, (size_t)(at - json));
    if (from != NULL) {
        wa_text_add(&t, to);
        wa_text_add(&t, at + strlen(from));
    }
    wa_value *v = NULL;
    wa_error bad = {0};
    if (wa_json_read(&v, t.at, t.length, "campaign.json", &bad) != WA_OK)
        fail_msg("%s", bad.text);
    wa_status s = wa_campaign_decode(c, v, "/data/NL-0417", "campaign.lua", "/data", lua, err);
    wa_value_free(v);
    wa_text_release(&t);
    return s;
}

static wa_campaign *example(void)
{
    wa_campaign *c = NULL;
    wa_error err = {0};
    if (decode(&c, NULL, NULL, &err) != WA_OK)
        fail_msg("%s (%s)", err.text, err.hint);
    return c;
}

static const wa_source *source(const wa_campaign *c, const char *name)
{
    for (size_t i = 0; i < c->n_sources; i++)
        if (strcmp(c->sources[i].name, name) == 0)
            return &c->sources[i];
    fail_msg("no source %s", name);
    return NULL;
}

static const wa_channel *channel(const wa_source *s, const char *name)
{
    for (size_t i = 0; i < s->n_channels; i++)
        if (strcmp(s->channels[i].name, name) == 0)
            return &s->channels[i];
    fail_msg("no channel %s", name);
    return NULL;
}

static int64_t at(const char *text)
{
    int64_t t = 0;
    assert_int_equal(wa_instant_parse(&t, text, strlen(text), NULL), WA_OK);
    return t;
}

static bool same(double a, double b)
{
    return !(a < b) && !(a > b);
}

static void the_example_as_a_whole(void **state)
{
    (void)state;
    wa_campaign *c = example();
    assert_string_equal(c->title, "Unit NL-0417, line-of-sight speeds, Ravnmoor");
    assert_string_equal(c->folder, "/data/NL-0417");
    assert_string_equal(c->root, "/data");
    assert_int_equal(c->from, at("2026-03-02T00:00:00Z"));
    assert_int_equal(c->to, at("2026-04-20T00:00:00Z"));
    assert_int_equal(c->planned_to, at("2026-04-13T00:00:00Z"));
    assert_int_equal(c->interval_ns, 600 * WA_SECOND_NS);
    assert_false(c->divisor_n);
    assert_int_equal(c->n_sources, 2);
    assert_int_equal(c->n_phases, 2);
    assert_string_equal(c->phases[1].name, "beam 2");
    assert_true(c->phases[1].has_beam && same(c->phases[1].beam, 2) &&
                same(c->phases[1].range, 240));
    assert_non_null(wa_get(c->phases[1].more, "beam_tilt"));
    assert_int_equal(c->n_logbook, 1);
    assert_int_equal(c->logbook[0].n_exclude, 1);
    assert_string_equal(c->logbook[0].exclude[0], "unit");
    assert_int_equal(c->n_tables, 1);
    assert_string_equal(c->tables[0].file, "bench/spots.csv");
    assert_int_equal(c->n_checks, 3);
    assert_string_equal(c->checks[0].id, "clock");
    assert_int_equal(wa_count(c->checks[0].parameters), 0);
    assert_string_equal(c->checks[2].name, "los_speed");
    assert_string_equal(c->checks[2].id, "los");
    assert_string_equal(c->checks[2].each, "phase");
    assert_string_equal(c->checks[2].contract, "los_2026");
    assert_string_equal(c->checks[2].information[0], "house");
    assert_int_equal(wa_count(c->checks[2].parameters), 1);
    assert_non_null(wa_get(c->checks[2].parameters, "half_sector"));
    assert_non_null(wa_get(c->checks[2].confirmed, "half_sector"));
    assert_string_equal(wa_get_string(wa_get(c->described, "lidar"), "serial"), "NL-0417");
    wa_campaign_free(c);
}

static void the_raw_source(void **state)
{
    (void)state;
    wa_campaign *c = example();
    const wa_source *s = source(c, "lidar");
    assert_int_equal(s->role, WA_ROLE_UNIT);
    assert_int_equal(s->interval_ns, 0);
    assert_string_equal(s->files[0], "raw/*.csv.gz");
    assert_int_equal(s->time.n_columns, 1);
    assert_int_equal(s->time.format, WA_TIME_ISO8601);
    assert_int_equal(s->time.n_zone, 1);
    assert_int_equal(s->time.zone[0].offset_s, 0);
    assert_int_equal(s->time.stamp, WA_STAMP_END);
    assert_int_equal(s->time.duration_ns, 250000000);
    assert_string_equal(s->layout.names_begin_with, "time");
    assert_int_equal(s->layout.names_row, 0);
    assert_int_equal(s->layout.delimiter, ',');
    assert_int_equal(s->layout.n_missing, 2);
    assert_string_equal(s->layout.missing[0].text, "NaN");
    assert_true(s->layout.missing[1].is_number && same(s->layout.missing[1].number, -999));
    assert_string_equal(s->beam_column, "beam");
    assert_string_equal(s->range_column, "range_m");
    assert_int_equal(s->n_ranges, 3);
    assert_true(same(s->ranges[2], 240) && same(s->ranges_within, 0.6));
    assert_int_equal(s->n_expected, 1);
    assert_int_equal(s->expected[0].every_ns, WA_SECOND_NS);
    assert_non_null(s->prepare);
    const wa_channel *v = channel(s, "los_speed"), *flags = channel(s, "status");
    assert_string_equal(v->quantity, "los_speed");
    assert_string_equal(v->positive, "towards");
    assert_string_equal(v->unit.text, "m s-1");
    assert_int_equal(v->kind, WA_CHANNEL_SCALAR);
    assert_false(v->shared);
    assert_true(channel(s, "pitch")->shared && flags->shared);
    assert_int_equal(flags->kind, WA_CHANNEL_BITS);
    assert_int_equal(flags->n_flags, 2);
    assert_int_equal(flags->flags[1].bit, 3);
    assert_string_equal(flags->flags[1].name, "warming up");
    assert_int_equal(s->n_keep_if, 1);
    assert_ptr_equal(&s->channels[s->keep_if[0].channel], channel(s, "signal"));
    assert_true(same(s->keep_if[0].lowest, -20) && isinf(s->keep_if[0].highest));
    assert_string_equal(s->keep_if[0].reason, "signal below -20 dB");
    wa_campaign_free(c);
}

static void the_averaged_source(void **state)
{
    (void)state;
    wa_campaign *c = example();
    const wa_source *s = source(c, "mast");
    assert_int_equal(s->role, WA_ROLE_REFERENCE);
    assert_int_equal(s->interval_ns, 600 * WA_SECOND_NS);
    assert_int_equal(s->time.format, WA_TIME_PATTERN);
    assert_string_equal(s->time.pattern, "%d.%m.%Y %H:%M");
    assert_int_equal(s->time.zone[0].offset_s, 3600);
    assert_int_equal(s->time.n_clock, 1);
    assert_int_equal(s->time.clock[0].shift_ns, 62 * WA_SECOND_NS);
    assert_int_equal(s->time.clock[0].from, INT64_MIN);
    assert_int_equal(s->time.clock[0].to, at("2026-04-02T06:00:00Z"));
    assert_true(same(s->time.clock[0].u_s, 2));
    assert_int_equal(s->layout.decimal, ',');
    assert_int_equal(s->layout.delimiter, ';');
    assert_int_equal(s->layout.units_row, 2);
    assert_int_equal(s->layout.first_row, 3);
    assert_true(s->divisor_n);
    assert_true(s->has_position && same(s->east, 228) && same(s->north, -64));
    const wa_channel *d = channel(s, "d_top");
    assert_int_equal(d->kind, WA_CHANNEL_DIRECTION);
    assert_true(same(d->north_offset, 0.4) && same(d->north_u, 0.3));
    assert_int_equal(d->n_affine, 1);
    assert_true(same(d->affine[0].slope, 1) && same(d->affine[0].offset, 0));
    assert_string_equal(d->affine[0].serial, "V-0207");
    assert_string_equal(channel(s, "t")->unit.text, "degC");
    assert_string_equal(channel(s, "v_top")->sd, "v top sd");
    assert_null(channel(s, "v_low")->count);
    wa_campaign_free(c);
}

static void calibration_histories(void **state)
{
    (void)state;
    wa_campaign *c = example();
    const wa_channel *top = channel(source(c, "mast"), "v_top");
    const wa_channel *low = channel(source(c, "mast"), "v_low");
    assert_int_equal(top->n_affine, 2);
    /* the logger used the certificate's own line: nothing to correct, to the last bit */
    assert_true(same(top->affine[0].slope, 1) && same(top->affine[0].offset, 0));
    assert_int_equal(top->affine[0].to, at("2026-03-20T09:00:00Z"));
    assert_true(isinf(top->affine[0].lowest) && isinf(top->affine[0].highest));
    /* then another cup with the old line: 0.0462 x + 0.2 where the data hold 0.04612 x + 0.231.
     * By hand at 100 Hz: data 4.843, true 4.82. */
    assert_true(fabs(top->affine[1].slope * 4.843 + top->affine[1].offset - 4.82) < 1e-12);
    assert_string_equal(top->affine[1].serial, "A-3402");
    assert_true(same(top->affine[1].lowest, 4) && same(top->affine[1].highest, 16));
    assert_int_equal(top->affine[1].to, INT64_MAX);
    assert_true(same(low->affine[0].slope, 1) && same(low->affine[0].offset, 0));
    assert_int_equal(c->n_instruments, 3);
    wa_campaign_free(c);
}

static void a_raw_signal(void **state)
{
    (void)state;
    wa_campaign *c = NULL;
    wa_error err = {0};
    assert_int_equal(decode(&c, "\"in_data\":\"certificate\"", "\"in_data\":\"signal\"", &err),
                     WA_OK);
    const wa_channel *low = channel(source(c, "mast"), "v_low");
    assert_true(same(low->affine[0].slope, 0.04608) && same(low->affine[0].offset, 0.24));
    assert_string_equal(low->unit.text, "m s-1");
    assert_true(wa_unit_equal(&low->unit, &low->unit_in_file));
    wa_campaign_free(c);
}

typedef struct fault {
    const char *from, *to, *text, *hint;
    size_t line; /* of campaign.lua; 0: not looked at */
} fault;

static void find_fault(const fault *f)
{
    wa_campaign *c = NULL;
    wa_error err = {0};
    wa_status s = decode(&c, f->from, f->to, &err);
    if (s != WA_ERR_DATA || strstr(err.text, f->text) == NULL || strstr(err.hint, f->hint) == NULL)
        fail_msg("%s -> %s: %d '%s' '%s'", f->from, f->to, (int)s, err.text, err.hint);
    assert_null(c);
    assert_string_equal(err.file, "campaign.lua");
    if (f->line > 0 && err.line != f->line)
        fail_msg("%s: line %zu", err.text, err.line);
}

/* something before which `uses` can stand, and what every dossier states */
#define USES "\"tables\":"
#define DIGEST                                                                                     \
    ",\"as\":\"last year\",\"sha256\":"                                                            \
    "\"51c000112233445566778899aabbccddeeff00112233445566778899aabbccdd\"}"

static void faults_of_the_whole(void **state)
{
    (void)state;
    static const fault faults[] = {
        {"\"title\":", "\"titel\":", "titel: 'titel' is not known here", "'title'?", 0},
        {"\"interface\":1", "\"interface\":2", "interface 2 is not known", "", 37},
        {"\"tables\":", "\"uses\":", "uses: a list should stand here", "", 0},
        {USES, "\"uses\":[{\"dossier\":\"last\",\"as\":\"last year\"}]," USES,
         "uses[1]: 'sha256' is not stated", "manifest", 0},
        {USES, "\"uses\":[{\"dossier\":\"../last\"" DIGEST "]," USES, "uses[1].dossier: the path",
         "relative", 0},
        {USES, "\"uses\":[{\"dossier\":\"/last\"" DIGEST "]," USES, "is absolute", "relative", 0},
        {USES, "\"uses\":[{\"dossier\":\"last\",\"as\":\"a\",\"sha256\":\"51C0\"}]," USES,
         "uses[1].sha256: a SHA-256 is", "manifest", 0},
        {USES, "\"uses\":[{\"dossier\":\"last\"" DIGEST ",{\"dossier\":\"this\"" DIGEST "]," USES,
         "uses[2]: two dossiers are used as 'last year'", "", 0},
        {USES, "\"uses\":[{\"dossier\":\"last\",\"beside\":\"x\"" DIGEST "]," USES,
         "uses[1].beside: 'beside' is not known", "", 0},
        {"\"serial\":\"NL-0417\",", "", "lidar: 'serial' is not stated", "", 40},
        {"\"firmware\":", "\"firmwear\":", "lidar.firmwear: 'firmwear'", "'firmware'?", 40},
        {"\"status\":\"preliminary\"", "\"status\":\"done\"", "report.status: 'done'", "final", 38},
        {"{\"from\":52,", "{\"from\":-52,", "disturbed[1]: a sector", "", 34},
        {"\"interval\":\"10 min\",\"planned_to\"", "\"interval\":\"7 min\",\"planned_to\"",
         "period.interval: a day must be a whole number", "", 44},
        {"\"from\":\"2026-03-02T00:00:00Z\"", "\"from\":\"2026-03-02T00:05:00Z\"",
         "period: 'from' is no border", "", 44},
        {"\"from\":\"2026-03-02T00:00:00Z\"", "\"from\":\"2026-03-02\"",
         "period.from: '2026-03-02' is not a time", "2026-03-02T00:00:00Z", 44},
        {"\"reason\":\"bins 11.5 and 12 m/s empty\",", "", "period.extended[1]: 'reason'", "", 45},
        {"\"planned_to\":\"2026-04-13T00:00:00Z\",", "", "'planned_to' is not stated", "", 45},
        {"\"name\":\"beam 2\"", "\"name\":\"beam 1\"", "two phases are called 'beam 1'", "", 0},
        {"\"from\":\"2026-03-02T10:00:00Z\"", "\"from\":\"2026-03-01T10:00:00Z\"",
         "phases[1]: it does not lie within the period", "", 47},
        {"\"exclude\":[\"unit\"]", "\"exclude\":[\"unti\"]", "'unti' is neither", "", 52},
        {"\"reference\":[\"mast\"]", "\"reference\":[\"lidar\"]", "'lidar' has two roles", "", 53},
        {"\"reference\":[\"mast\"]", "\"reference\":[\"mst\"]", "there is no source 'mst'", "", 53},
        {"[\"reference_health\"]", "[\"clock\"]", "checks[2]: two checks have the id 'clock'",
         "id =", 76},
        {"[\"clock\"]", "[\"clo/ck\"]", "'clo/ck' cannot be a name", "", 76},
        {",\"to\":\"2026-03-11T09:00:00Z\"", "", "'to' is not stated", "an end", 52},
        {"\"window cleaned\"", "\"two\\nlines\"", "logbook[1].text: a reason is one line", "", 52},
        {",\"to\":98}", "}", "it needs a sector, or a position and a size", "rotor_diameter", 34},
        {",\"to\":98}", ",\"position\":{\"east\":1},\"height\":9,\"width\":2}", "'north' is not",
         "", 34},
        {"\"each\":\"phase\"", "\"each\":\"beam\"", "'beam' is not known here", "\"phase\"", 77},
        {"\"contract\":", "\"contracts\":", "'contracts' is not known", "'contract'?", 0},
        {"\"bench/spots.csv\"", "\"../spots.csv\"", "tables.spots: the path", "relative", 75},
    };
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++)
        find_fault(&faults[i]);
}

static void faults_of_sources(void **state)
{
    (void)state;
    static const fault faults[] = {
        {",\"zone\":\"UTC\"}", "}", "sources.lidar.time: 'zone' is not stated", "no default", 58},
        {"\"stamp\":\"end\",\"zone\":\"UTC\"", "\"zone\":\"UTC\"", "'stamp' is not stated",
         "no default", 58},
        {"\"zone\":\"UTC\"", "\"zone\":\"Moor/Time\"", "'Moor/Time' is not a zone", "fixed", 58},
        {"\"zone\":\"UTC\"", "\"zoen\":\"UTC\"", "sources.lidar.time.zoen", "'zone'?", 58},
        {"\"%d.%m.%Y %H:%M\"", "\"%d.%m.%Y\"", "sources.mast.time.format", "", 72},
        {"\"u\":\"2 s\"}]", "\"uu\":\"2 s\"}]", "clock[1].uu: 'uu'", "'u'?", 72},
        {"\"delimiter\":\";\"", "\"delimiter\":\",\"", "decimal and delimiter are both ','",
         "\";\"", 0},
        {"\"first_row\":3", "\"first_row\":2", "does not follow the header", "", 0},
        {"\"names_begin_with\":\"time\"", "\"names_begin_with\":\"time\",\"names\":2",
         "both say where names are", "", 59},
        {"\"interval\":\"10 min\",\"position\"", "\"interval\":\"1 min\",\"position\"",
         "averaged over 1 min, the campaign over 10 min", "", 0},
        {"\"divisor\":\"N\",", "", "the divisor of the logger's", "divisor =", 0},
        {"\"files\":[\"raw/*.csv.gz\"]", "\"files\":[\"/raw/*.csv.gz\"]", "is absolute", "", 56},
        {"\"files\":[\"raw/*.csv.gz\"]", "\"files\":\"raw/*.csv.gz\"", "a list should stand here",
         "{ a, b }", 56},
        {"\"at\":[140,190,240],\"within\":0.6", "\"at\":[140,190,240],\"within\":30",
         "nearer to each other", "", 42},
        {"\"shared\":[\"pitch\",", "\"shared\":[\"pich\",", "'pich' is no channel", "'pitch'?", 60},
        {"\"expected\":{\"every\":\"1 s\"", "\"expected\":{\"every\":\"0 s\"", "must be positive",
         "", 61},
        {"\"keep_if\":{\"signal\"", "\"keep_if\":{\"signl\"", "'signl' is no channel", "'signal'?",
         69},
        {"\"at_least\":[-20,\"dB\"]", "\"at_least\":[-20,\"m\"]", "cannot be converted", "", 69},
        {"\"positive\":\"towards\",", "", "los_speed: 'positive' is not stated", "no default", 64},
        {"\"positive\":\"towards\",\"unit\":\"m/s\"", "\"positive\":\"towards\",\"unit\":\"degC\"",
         "which is no unit of it", "", 64},
        {"\"positive\":\"towards\",\"unit\":\"m/s\"", "\"positive\":\"towards\",\"unit\":\"mm/\"",
         "sources.lidar.channels.los_speed.unit", "", 64},
        {"\"kind\":\"bits\",", "", "'names' needs kind", "", 67},
        {"\"0\":\"window wet\"", "\"32\":\"window wet\"", "a bit is a number", "", 67},
        {"\"3\":\"warming up\"", "\"3\":\"window wet\"", "two bits are called", "", 67},
        {"\"column\":\"cnr\"", "\"mean\":\"cnr\"", "a raw source has one column", "", 65},
        {"\"mean\":\"t mean\"", "\"column\":\"t mean\"", "one column a statistic", "", 72},
        {"\"instrument\":\"vane\"", "\"instrument\":\"vnae\"", "no instrument 'vnae'", "", 72},
        {"\"kind\":\"true\"", "\"kind\":\"real\"", "'real' is not known here", "magnetic", 72},
    };
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++)
        find_fault(&faults[i]);
}

static void faults_of_instruments(void **state)
{
    (void)state;
    static const fault faults[] = {
        {",\"in_data\":\"certificate\"", "", "but 'in_data' is not stated", "\"signal\"", 30},
        {"\"in_data\":\"certificate\"", "\"in_data\":\"raw\"", "'raw' is not known", "certificate",
         31},
        {"\"offset\":0.24,", "", "'slope' and 'offset' come together", "", 31},
        {"\"slope\":0.04608", "\"slope\":0", "a slope of 0", "", 31},
        {"[[4,0.045],[16,0.06]]", "[[16,0.06],[4,0.045]]", "pairs of value", "", 24},
        {"\"date\":\"2025-09-14\"", "\"date\":\"2025-09-31\"", "it is not a date", "2025-09-14",
         23},
        {"\"from\":\"2026-03-20T10:05:00Z\"", "\"from\":\"2026-03-20T08:05:00Z\"",
         "it was fitted before 'A-3391' was taken down", "", 26},
        {"\"serial\":\"V-0207\"",
         "\"calibration\":{\"slope\":2,\"offset\":0},\"in_data\":\"signal\","
         "\"serial\":\"V-0207\"",
         "cannot be stretched", "", 32},
        {"\"vane\":{", "\"vane\":{\"accepted\":{\"as\":\"its own\"},",
         "the campaign uses no dossier as 'its own'", "uses = ", 32},
        {"\"vane\":{", "\"vane\":{\"accepted\":{\"check\":\"speed\"},", "'as' is not stated",
         "uses", 32},
        {"\"vane\":{", "\"vane\":{\"accepted\":{\"as\":\"last year\",\"correct\":true},",
         "'correct' is not known", "'corrected'?", 32},
        {"\"serial\":\"V-0207\"}]}},",
         "\"serial\":\"V-0207\"}],\"accepted\":{\"as\":\"last year\",\"corrected\":1}}},"
         "\"uses\":[{\"dossier\":\"a\",\"as\":\"last year\",\"sha256\":"
         "\"0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef\"}],",
         "true or false is meant", "", 32},
        {"\"vane\":{", "\"vane\":{\"repeatabilty\":1,", "'repeatabilty' is not known",
         "'repeatability'?", 32},
    };
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++)
        find_fault(&faults[i]);
}

static void dated_zones(void **state)
{
    (void)state;
    wa_campaign *c = NULL;
    wa_error err = {0};
    assert_int_equal(decode(&c, "\"zone\":\"UTC+01:00\"",
                            "\"zone\":[{\"1\":\"UTC+01:00\",\"to\":\"2026-03-29T01:00:00Z\"},"
                            "[\"UTC+02:00\"]]",
                            &err),
                     WA_OK);
    const wa_time_rule *r = &source(c, "mast")->time;
    assert_int_equal(r->n_zone, 2);
    assert_int_equal(r->zone[0].until, at("2026-03-29T01:00:00Z"));
    assert_int_equal(r->zone[1].offset_s, 7200);
    assert_int_equal(r->zone[1].until, INT64_MAX);
    wa_campaign_free(c);
    static const fault last = {"\"zone\":\"UTC+01:00\"", "\"zone\":[[\"UTC+01:00\"],[\"UTC\"]]",
                               "'to' is not stated", "", 0};
    find_fault(&last);
}

/* Whatever a stranger sends, decoding ends in a campaign or an error: every entry of the example
 * in turn becomes a value of another kind. */
static size_t replace_each(wa_value *v, const wa_value *whole, const wa_value *with)
{
    size_t done = 0;
    for (size_t i = 0; i < wa_count(v); i++) {
        wa_value *item = wa_at_mutable(v, i);
        done += replace_each(item, whole, with);
        if (wa_value_kind(v) != WA_MAP)
            continue;
        wa_value *kept = wa_value_copy(item);
        assert_true(wa_map_set(v, wa_key(v, i), wa_value_copy(with)));
        wa_campaign *c = NULL;
        wa_error err = {0};
        if (wa_campaign_decode(&c, whole, "/d", "c.lua", "/", lua, &err) == WA_OK)
            wa_campaign_free(c);
        else
            assert_true(err.text[0] != '\0');
        assert_true(wa_map_set(v, wa_key(v, i), kept));
        done++;
    }
    return done;
}

static void strangers_values(void **state)
{
    (void)state;
    wa_value *v = NULL;
    assert_int_equal(wa_json_read(&v, json, strlen(json), NULL, NULL), WA_OK);
    static const char *const texts[] = {"null", "true", "-1e300", "\"\"",     "\"x\"",
                                        "[]",   "[[]]", "{}",     "{\"x\":1}"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        wa_value *with = NULL, *list = NULL;
        wa_text t = WA_TEXT_INIT;
        wa_text_printf(&t, "[%s]", texts[i]);
        assert_int_equal(wa_json_read(&list, t.at, t.length, NULL, NULL), WA_OK);
        with = wa_value_copy(wa_at(list, 0));
        assert_true(replace_each(v, v, with) > 150);
        wa_value_free(with);
        wa_value_free(list);
        wa_text_release(&t);
    }
    wa_value_free(v);
}

static void known_quantities_have_units(void **state)
{
    (void)state;
    static const char *const known[][3] = {{"wind_speed", "knot", "m s-1"},
                                           {"wind_speed_of_gust", "km/h", "m s-1"},
                                           {"eastward_wind", "m/s", "m s-1"},
                                           {"northward_wind", "m/s", "m s-1"},
                                           {"upward_air_velocity", "m/s", "m s-1"},
                                           {"vertical_wind_speed", "m/s", "m s-1"},
                                           {"spectral_width", "m/s", "m s-1"},
                                           {"carrier_to_noise_ratio", "dB", "dB"},
                                           {"turbulence_intensity", "1", "%"},
                                           {"air_temperature", "K", "degC"},
                                           {"relative_humidity", "%", "%"},
                                           {"air_pressure", "Pa", "hPa"},
                                           {"air_density", "g/m3", "kg m-3"},
                                           {"rainfall_rate", "mm/min", "mm h-1"},
                                           {"tilt", "degree", "degree"},
                                           {"roll", "rad", "degree"},
                                           {"yaw_misalignment", "degree", "degree"}};
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        const char *from = "\"quantity\":\"air_temperature\",\"unit\":\"degC\"";
        char to[128];
        wa_campaign *c = NULL;
        wa_error err = {0};
        snprintf(to, sizeof to, "\"quantity\":\"%s\",\"unit\":\"%s\"", known[i][0], known[i][1]);
        if (decode(&c, from, to, &err) != WA_OK)
            fail_msg("%s: %s", known[i][0], err.text);
        wa_unit expected;
        assert_int_equal(wa_unit_parse(&expected, known[i][2], NULL), WA_OK);
        const wa_unit *found = &channel(source(c, "mast"), "t")->unit;
        if (!wa_unit_equal(found, &expected))
            fail_msg("%s in '%s' is kept in '%s'", known[i][0], known[i][1], found->text);
        wa_campaign_free(c);
        /* and none of them is a number of seconds */
        snprintf(to, sizeof to, "\"quantity\":\"%s\",\"unit\":\"s\"", known[i][0]);
        assert_int_equal(decode(&c, from, to, &err), WA_ERR_DATA);
        assert_non_null(strstr(err.text, "which is no unit of it"));
    }
}

/* The search for a key's line reads any text to its end and no further. */
static void torn_campaign_files(void **state)
{
    (void)state;
    wa_value *v = wa_map();
    assert_true(wa_map_set(v, "tables", wa_map()));
    assert_true(wa_map_set(v, "lidar", wa_list()));
    size_t length = strlen(lua);
    for (size_t n = 0; n <= length; n += 3) {
        char *torn = malloc(n + 1);
        assert_non_null(torn);
        memcpy(torn, lua, n);
        torn[n] = '\0';
        wa_campaign *c = NULL;
        wa_error err = {0};
        assert_int_equal(wa_campaign_decode(&c, v, "/d", "c.lua", "/", torn, &err), WA_ERR_DATA);
        free(torn);
    }
    static const char *const odd[] = {
        "\"",       "'\\",        "[[",          "[==[ ]=]",       "--[[", "--",        "tables",
        "tables =", "tables = {", "[\"tables\"", "[\"tables\"] =", "}}}",  "lidar == {"};
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        wa_campaign *c = NULL;
        assert_int_equal(wa_campaign_decode(&c, v, "/d", "c.lua", "/", odd[i], NULL), WA_ERR_DATA);
    }
    wa_value_free(v);
}

static void the_root(void **state)
{
    (void)state;
    char top[] = "/tmp/windassay-root-XXXXXX", path[128], *root = NULL;
    assert_non_null(mkdtemp(top));
    snprintf(path, sizeof path, "%s/fleet.lua", top);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fclose(f);
    snprintf(path, sizeof path, "%s/unit", top);
    assert_int_equal(mkdir(path, 0700), 0);
    assert_int_equal(wa_root_find(&root, path, NULL), WA_OK);
    assert_string_equal(root, top);
    free(root);
    snprintf(path, sizeof path, "%s/fleet.lua", top);
    assert_int_equal(remove(path), 0);
    snprintf(path, sizeof path, "%s/unit", top);
    assert_int_equal(wa_root_find(&root, path, NULL), WA_OK);
    assert_null(root);
    assert_int_equal(remove(path), 0);
    assert_int_equal(wa_root_find(&root, path, NULL), WA_ERR_MISSING);
    assert_int_equal(remove(top), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_example_as_a_whole),
        cmocka_unit_test(the_raw_source),
        cmocka_unit_test(the_averaged_source),
        cmocka_unit_test(calibration_histories),
        cmocka_unit_test(a_raw_signal),
        cmocka_unit_test(faults_of_the_whole),
        cmocka_unit_test(faults_of_sources),
        cmocka_unit_test(faults_of_instruments),
        cmocka_unit_test(dated_zones),
        cmocka_unit_test(strangers_values),
        cmocka_unit_test(known_quantities_have_units),
        cmocka_unit_test(torn_campaign_files),
        cmocka_unit_test(the_root),
    };
    return cmocka_run_group_tests(tests, read_files, free_files);
}
