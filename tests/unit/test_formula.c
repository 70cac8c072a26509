/* Formulas: what a description may hold, what it computes, how it reads. Numbers by hand; the
 * circular mean of 350 and 10 is 0 (practice.md 4.3). */
#include "windassay/formula.h"

#include "windassay/column.h"
#include "windassay/json.h"
#include "windassay/mask.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const double nan_ = (double)NAN;

enum { SPEED, TEMPERATURE, DIRECTION, STATUS, STATE, CHANNELS, N = 5 };

static const wa_formula_flag bits[] = {{"window wet", 0}, {"warming up", 3}};
static const wa_formula_flag words[] = {{"ok", 0}, {"ok", 0}, {"fault", 0}};

static void channels(wa_formula_channel c[CHANNELS])
{
    static const char *const names[] = {"los_speed", "t", "dir", "status", "state"};
    static const char *const units[] = {"m/s", "degC", "degree", "1", "1"};
    static const wa_formula_kind kinds[] = {WA_FORMULA_NUMBER, WA_FORMULA_NUMBER,
                                            WA_FORMULA_DIRECTION, WA_FORMULA_BITS,
                                            WA_FORMULA_WORDS};
    for (size_t i = 0; i < CHANNELS; i++) {
        c[i] = (wa_formula_channel){.name = names[i], .kind = kinds[i]};
        assert_int_equal(wa_unit_parse(&c[i].unit, units[i], NULL), WA_OK);
    }
    c[STATUS].flags = bits;
    c[STATUS].n_flags = 2;
    c[STATE].flags = words;
    c[STATE].n_flags = 3;
}

static wa_status decode(wa_formula **f, const char *json, wa_error *err)
{
    wa_formula_channel c[CHANNELS];
    wa_value *v = NULL;
    wa_error bad = {0};
    channels(c);
    if (wa_json_read(&v, json, strlen(json), "test", &bad) != WA_OK)
        fail_msg("%s: %s", json, bad.text);
    wa_status s = wa_formula_decode(f, v, c, CHANNELS, err);
    wa_value_free(v);
    return s;
}

static wa_formula *good(const char *json)
{
    wa_formula *f = NULL;
    wa_error err = {0};
    if (decode(&f, json, &err) != WA_OK)
        fail_msg("%s: %s", json, err.text);
    return f;
}

/* A description from its nodes, with the last node added as "x" or dropped on. */
static wa_formula *adding(const char *nodes, int last)
{
    char json[2000];
    snprintf(json, sizeof json, "{\"nodes\":[%s],\"adds\":[{\"name\":\"x\",\"node\":%d}]}", nodes,
             last);
    return good(json);
}

static wa_formula *dropping(const char *nodes, int last)
{
    char json[2000];
    snprintf(json, sizeof json,
             "{\"nodes\":[%s],\"drops\":[{\"reason\":\"r\",\"mask\":%d,"
             "\"channels\":[\"los_speed\"]}]}",
             nodes, last);
    return good(json);
}

static const double speed[N] = {4, 6, nan_, 8, 2}, celsius[N] = {1, 3, -2, nan_, 5};
static const double dir[N] = {350, 10, 0, 350, 10}, status[N] = {0, 1, 8, 9, nan_};
static const double state[N] = {0, 1, 2, nan_, 2};
static const double *const data[CHANNELS] = {speed, celsius, dir, status, state};

static void evaluate(const wa_formula *f, double *added, uint8_t *drop)
{
    wa_formula_scratch scratch = {0};
    assert_int_equal(wa_formula_evaluate(f, data, N, &added, &drop, &scratch, NULL), WA_OK);
    /* again with memory that is already there: the same */
    double more[N];
    double *more_added = more;
    uint8_t *same_drop = drop;
    assert_int_equal(wa_formula_evaluate(f, data, N, &more_added, &same_drop, &scratch, NULL),
                     WA_OK);
    if (wa_formula_adds(f) > 0)
        assert_memory_equal(more, added, sizeof more);
    wa_formula_scratch_release(&scratch);
}

static void values(const char *nodes, int last, const char *unit, const double want[N])
{
    double got[N] = {0};
    wa_formula *f = adding(nodes, last);
    assert_string_equal(wa_formula_add_at(f, 0).unit.text, unit);
    evaluate(f, got, NULL);
    for (int i = 0; i < N; i++)
        if (isnan(want[i]) ? !isnan(got[i]) : !(fabs(got[i] - want[i]) <= 1e-14 * 360))
            fail_msg("%s: row %d is %.17g instead of %.17g", nodes, i, got[i], want[i]);
    wa_formula_free(f);
}

static void mask(const char *nodes, int last, const char *want)
{
    uint8_t got[N];
    char text[N + 1] = "";
    wa_formula *f = dropping(nodes, last);
    evaluate(f, NULL, got);
    for (int i = 0; i < N; i++)
        text[i] = "FTU"[got[i]];
    if (strcmp(text, want) != 0)
        fail_msg("%s: %s, not %s", nodes, text, want);
    wa_formula_free(f);
}

#define V   "{\"op\":\"channel\",\"name\":\"los_speed\"},"
#define T   "{\"op\":\"channel\",\"name\":\"t\"},"
#define D   "{\"op\":\"channel\",\"name\":\"dir\"},"
#define S   "{\"op\":\"channel\",\"name\":\"status\"},"
#define W   "{\"op\":\"channel\",\"name\":\"state\"},"
#define ROW (const double[N])

static void arithmetic(void **unused)
{
    (void)unused;
    values(V "{\"op\":\"number\",\"value\":3.6,\"unit\":\"km/h\"},{\"op\":\"add\",\"a\":1,\"b\":2}",
           3, "m s-1", ROW{5, 7, nan_, 9, 3});
    values(V "{\"op\":\"number\",\"value\":2},{\"op\":\"mul\",\"a\":2,\"b\":1}", 3, "m s-1",
           ROW{8, 12, nan_, 16, 4});
    values(V "{\"op\":\"div\",\"a\":1,\"b\":1},{\"op\":\"number\",\"value\":1},"
             "{\"op\":\"sub\",\"a\":3,\"b\":2}",
           4, "1", ROW{0, 0, nan_, 0, 0});
    values(V "{\"op\":\"number\",\"value\":2},{\"op\":\"pow\",\"a\":1,\"b\":2},"
             "{\"op\":\"sqrt\",\"a\":3}",
           4, "m s-1", ROW{4, 6, nan_, 8, 2});
    values(T "{\"op\":\"to\",\"a\":1,\"unit\":\"degF\"}", 2, "degC", ROW{1, 3, -2, nan_, 5});
    values(T "{\"op\":\"lag\",\"a\":1,\"n\":2}", 2, "degC", ROW{nan_, nan_, 1, 3, -2});
    values(D "{\"op\":\"cos\",\"a\":1},{\"op\":\"acos\",\"a\":2}", 3, "degree",
           ROW{10, 10, 0, 10, 10});
    values(V "{\"op\":\"atan2\",\"a\":1,\"b\":1}", 2, "degree", ROW{45, 45, nan_, 45, 45});
    values(D "{\"op\":\"number\",\"value\":355},{\"op\":\"difference\",\"a\":1,\"b\":2}", 3,
           "degree", ROW{-5, 15, 5, -5, 15});
}

static void statistics(void **unused)
{
    (void)unused;
    values(V "{\"op\":\"mean\",\"a\":1}", 2, "m s-1", ROW{5, 5, 5, 5, 5});
    values(V "{\"op\":\"median\",\"a\":1}", 2, "m s-1", ROW{5, 5, 5, 5, 5});
    values(V "{\"op\":\"max\",\"a\":1},{\"op\":\"min\",\"a\":1},{\"op\":\"sub\",\"a\":2,\"b\":3}",
           4, "m s-1", ROW{6, 6, 6, 6, 6});
    values(V "{\"op\":\"count\",\"a\":1}", 2, "1", ROW{4, 4, 4, 4, 4});
    values(V "{\"op\":\"quantile\",\"a\":1,\"p\":0.25}", 2, "m s-1", ROW{3.5, 3.5, 3.5, 3.5, 3.5});
    values(D "{\"op\":\"circular_mean\",\"a\":1}", 2, "degree", ROW{0, 0, 0, 0, 0});
    /* sd of a temperature is a difference: K; inside that is added as degC would be wrong, so
     * take it relative */
    values(V "{\"op\":\"sd\",\"a\":1},{\"op\":\"div\",\"a\":2,\"b\":2}", 3, "1",
           ROW{1, 1, 1, 1, 1});
    /* nothing left: not defined, so missing */
    values(V "{\"op\":\"number\",\"value\":99,\"unit\":\"m/s\"},{\"op\":\"above\",\"a\":1,\"b\":2},"
             "{\"op\":\"where\",\"a\":1,\"b\":3},{\"op\":\"mean\",\"a\":4}",
           5, "m s-1", ROW{nan_, nan_, nan_, nan_, nan_});
    values(V "{\"op\":\"number\",\"value\":5,\"unit\":\"m/s\"},{\"op\":\"above\",\"a\":1,\"b\":2},"
             "{\"op\":\"where\",\"a\":1,\"b\":3},{\"op\":\"mean\",\"a\":4}",
           5, "m s-1", ROW{7, 7, 7, 7, 7});
}

static void masks(void **unused)
{
    (void)unused;
    mask(V "{\"op\":\"number\",\"value\":18,\"unit\":\"km/h\"},{\"op\":\"below\",\"a\":1,\"b\":2}",
         3, "TFUFT");
    mask(V "{\"op\":\"mean\",\"a\":1},{\"op\":\"above\",\"a\":1,\"b\":2}", 3, "FTUTF");
    mask(V "{\"op\":\"number\",\"value\":4,\"unit\":\"m/s\"},"
           "{\"op\":\"number\",\"value\":8,\"unit\":\"m/s\"},"
           "{\"op\":\"between\",\"a\":1,\"b\":2,\"c\":3}",
         4, "TTUFF");
    mask(D "{\"op\":\"in_sector\",\"a\":1,\"from\":350,\"to\":5}", 2, "TFTTF");
    mask(S "{\"op\":\"has\",\"a\":1,\"name\":\"window wet\"}", 2, "FTFTU");
    mask(S "{\"op\":\"has\",\"a\":1,\"name\":\"warming up\"},{\"op\":\"grow\",\"a\":2,\"n\":1}", 3,
         "FTTTT");
    mask(W "{\"op\":\"is\",\"a\":1,\"name\":\"ok\"}", 2, "TTFUF"); /* two words called ok */
    mask(W "{\"op\":\"missing\",\"a\":1}", 2, "FFFTF");
    mask(D "{\"op\":\"lag\",\"a\":1,\"n\":3},{\"op\":\"missing\",\"a\":2},"
           "{\"op\":\"not\",\"a\":3}",
         4, "FFFTT");
    mask(V T "{\"op\":\"missing\",\"a\":1},{\"op\":\"missing\",\"a\":2},"
             "{\"op\":\"or\",\"a\":3,\"b\":4}",
         5, "FFTTF");
    mask(S "{\"op\":\"unchanged\",\"a\":1,\"n\":2}", 2, "FFFFU");
}

static void several_results(void **unused)
{
    (void)unused;
    wa_formula *f = good("{\"nodes\":[" V S "{\"op\":\"has\",\"a\":2,\"name\":\"window wet\"},"
                         "{\"op\":\"neg\",\"a\":1}, " D "{\"op\":\"missing\",\"a\":5}],"
                         "\"adds\":[{\"name\":\"away\",\"node\":4,\"quantity\":\"radial\","
                         "\"unit\":\"km/h\"},{\"name\":\"wind_direction\",\"node\":5}],"
                         "\"drops\":[{\"reason\":\"wet\",\"mask\":3,\"channels\":[\"los_speed\","
                         "\"away\"]},{\"reason\":\"all\",\"mask\":6}]}");
    assert_int_equal(wa_formula_adds(f), 2);
    assert_string_equal(wa_formula_add_at(f, 0).quantity, "radial");
    assert_string_equal(wa_formula_add_at(f, 0).unit.text, "m s-1"); /* one unit inside */
    assert_int_equal(wa_formula_add_at(f, 0).kind, WA_FORMULA_NUMBER);
    assert_int_equal(wa_formula_add_at(f, 1).kind, WA_FORMULA_DIRECTION);
    assert_string_equal(wa_formula_add_at(f, 1).quantity, "wind_direction");
    wa_formula_dropped wet = wa_formula_drop_at(f, 0), all = wa_formula_drop_at(f, 1);
    assert_string_equal(wet.reason, "wet");
    assert_int_equal(wet.n_channels, 2);
    assert_int_equal(wet.channels[0], SPEED);
    assert_int_equal(wet.channels[1], CHANNELS);
    assert_int_equal(all.n_channels, CHANNELS + 2);
    assert_true(wa_formula_reads(f, SPEED));
    assert_false(wa_formula_reads(f, TEMPERATURE));
    double away[N], same[N];
    uint8_t a[N], b[N];
    double *const added[] = {away, same};
    uint8_t *const drop[] = {a, b};
    wa_formula_scratch scratch = {0};
    const double *needed[CHANNELS] = {speed, NULL, dir, status, NULL};
    assert_int_equal(wa_formula_evaluate(f, needed, N, added, drop, &scratch, NULL), WA_OK);
    assert_true(away[0] == -4 && isnan(away[2]) && same[0] == 350);
    assert_int_equal(a[1], WA_TRUE);
    assert_int_equal(a[4], WA_UNKNOWN);
    assert_int_equal(wa_formula_evaluate(f, needed, 0, added, drop, &scratch, NULL), WA_OK);
    wa_formula_scratch_release(&scratch);
    wa_formula_free(f);
}

static void reads_as_text(void **unused)
{
    (void)unused;
    static const char *const want[] = {
        "v1 = median(los_speed)",
        "add level [m s-1] = los_speed - v1",
        "drop \"window wet\" from los_speed where status has \"window wet\"",
        ("drop \"odd\" from los_speed, level where ((los_speed from 1 m s-1 to below 20 m s-1) and "
         "(not (state is \"ok\"))) or (dir in sector 350 to 5.5)"),
        "drop \"far\" from t where (abs(-los_speed) above (2 * v1)) or within 3 samples of it",
    };
    wa_formula *f =
        good("{\"nodes\":[" V "{\"op\":\"median\",\"a\":1},{\"op\":\"sub\",\"a\":1,\"b\":2}," S
             "{\"op\":\"has\",\"a\":4,\"name\":\"window wet\"},"
             "{\"op\":\"number\",\"value\":1,\"unit\":\"m/s\"},"
             "{\"op\":\"number\",\"value\":20,\"unit\":\"m/s\"},"
             "{\"op\":\"between\",\"a\":1,\"b\":6,\"c\":7}," W
             "{\"op\":\"is\",\"a\":9,\"name\":\"ok\"},{\"op\":\"not\",\"a\":10},"
             "{\"op\":\"and\",\"a\":8,\"b\":11}," D
             "{\"op\":\"in_sector\",\"a\":13,\"from\":350,\"to\":5.5},"
             "{\"op\":\"or\",\"a\":12,\"b\":14},{\"op\":\"neg\",\"a\":1},{\"op\":\"abs\",\"a\":16},"
             "{\"op\":\"number\",\"value\":2},{\"op\":\"mul\",\"a\":18,\"b\":2},"
             "{\"op\":\"above\",\"a\":17,\"b\":19},{\"op\":\"grow\",\"a\":20,\"n\":3}],"
             "\"adds\":[{\"name\":\"level\",\"node\":3}],"
             "\"drops\":[{\"reason\":\"window wet\",\"mask\":5,\"channels\":[\"los_speed\"]},"
             "{\"reason\":\"odd\",\"mask\":15,\"channels\":[\"los_speed\",\"level\"]},"
             "{\"reason\":\"far\",\"mask\":21,\"channels\":[\"t\"]}]}");
    wa_value *lines = wa_formula_lines(f);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_string_equal(wa_string_of(wa_at(lines, i)), want[i]);
    assert_int_equal(wa_count(lines), sizeof want / sizeof *want);
    wa_value_free(lines);
    wa_formula_free(f);
}

/* A chain of doublings stays as long as it is: no line holds another's text. */
static void text_does_not_explode(void **unused)
{
    (void)unused;
    wa_formula_channel c[CHANNELS];
    wa_formula *f = NULL;
    channels(c);
    assert_int_equal(wa_formula_new(&f, c, CHANNELS, NULL), WA_OK);
    for (int i = 0; i < WA_FORMULA_NODES_MOST; i++) {
        wa_value *n = wa_map();
        wa_map_set(n, "op", wa_string(i == 0 ? "channel" : "add"));
        wa_map_set(n, i == 0 ? "name" : "a", i == 0 ? wa_string("t") : wa_number(i));
        if (i == 0)
            wa_map_set(n, "name", wa_string("los_speed"));
        else
            wa_map_set(n, "b", wa_number(i));
        assert_int_equal(wa_formula_take_node(f, n, NULL), WA_OK);
        wa_error err = {0};
        if (i == WA_FORMULA_NODES_MOST - 1) {
            assert_int_equal(wa_formula_take_node(f, n, &err), WA_ERR_ARG);
            assert_string_equal(err.text, "more than 1000 operations");
        }
        wa_value_free(n);
    }
    wa_value *lines = wa_formula_lines(f);
    assert_int_equal(wa_count(lines), WA_FORMULA_NODES_MOST - 2);
    assert_string_equal(wa_string_of(wa_at(lines, 997)), "v998 = v997 + v997");
    wa_value_free(lines);
    wa_formula_free(f);
}

static void refused(void **unused)
{
    (void)unused;
    static const struct {
        const char *json, *error, *hint;
    } cases[] = {
        {"[]", "prepare is not a table with names", NULL},
        {"{\"node\":[]}", "prepare: unknown key 'node'", NULL},
        {"{\"nodes\":{}}", "prepare: 'nodes' is not a list", NULL},
        {"{\"nodes\":[3]}", "prepare: nodes 1: a node is not a table with names", NULL},
        {"{\"nodes\":[{\"op\":\"meen\",\"a\":1}]}", "prepare: nodes 1: unknown op 'meen'",
         "did you mean 'mean'?"},
        {"{\"nodes\":[{\"op\":\"channel\",\"name\":\"los_sped\"}]}",
         "prepare: nodes 1: the source has no channel 'los_sped'", "did you mean 'los_speed'?"},
        {"{\"nodes\":[" V "{\"op\":\"mean\",\"a\":2}]}",
         "prepare: nodes 2: 'a' is not the number of an earlier node", NULL},
        {"{\"nodes\":[" V "{\"op\":\"mean\",\"a\":0}]}",
         "prepare: nodes 2: 'a' is not the number of an earlier node", NULL},
        {"{\"nodes\":[" V "{\"op\":\"mean\",\"a\":1.5}]}",
         "prepare: nodes 2: 'a' is not the number of an earlier node", NULL},
        {"{\"nodes\":[" V "{\"op\":\"mean\",\"a\":1,\"x\":1}]}",
         "prepare: nodes 2: a node: unknown key 'x'", NULL},
        {"{\"nodes\":[" V T "{\"op\":\"add\",\"a\":1,\"b\":2}]}",
         "prepare: nodes 3: 'm s-1' and 'degC' cannot be added", NULL},
        {"{\"nodes\":[" V "{\"op\":\"number\",\"value\":1},{\"op\":\"add\",\"a\":1,\"b\":2}]}",
         "prepare: nodes 3: a bare number cannot be added to a column in 'm s-1'",
         "say its unit: { 0.5, \"m s-1\" }"},
        {"{\"nodes\":[" D "{\"op\":\"mean\",\"a\":1}]}",
         "prepare: nodes 2: 'dir' is a direction: its mean would mix 359 and 1",
         "use circular.mean(s.dir), or circular.difference first"},
        {"{\"nodes\":[" S "{\"op\":\"mean\",\"a\":1}]}",
         "prepare: nodes 2: channel 'status' holds bits, not numbers",
         "ask for one: s.status:has(\"window wet\")"},
        {"{\"nodes\":[" S "{\"op\":\"has\",\"a\":1,\"name\":\"windw wet\"}]}",
         "prepare: nodes 2: channel 'status' has no 'windw wet'", "did you mean 'window wet'?"},
        {"{\"nodes\":[" W "{\"op\":\"has\",\"a\":1,\"name\":\"ok\"}]}",
         "prepare: nodes 2: 'has' needs a channel with kind = \"bits\"", NULL},
        {"{\"nodes\":[" V "{\"op\":\"not\",\"a\":1}]}",
         "prepare: nodes 2: 'not' needs a mask, as s.x:below(2, \"m/s\") makes one", NULL},
        {"{\"nodes\":[" V "{\"op\":\"missing\",\"a\":1},{\"op\":\"abs\",\"a\":2}]}",
         "prepare: nodes 3: 'abs' needs a number, not a mask", NULL},
        {"{\"nodes\":[{\"op\":\"number\",\"value\":1},{\"op\":\"abs\",\"a\":1}]}",
         "prepare: nodes 2: 'abs' needs a value of the samples, not a plain number", NULL},
        {"{\"nodes\":[{\"op\":\"number\",\"value\":1},{\"op\":\"add\",\"a\":1,\"b\":1}]}",
         "prepare: nodes 2: 'add' needs a value of the samples, not a plain number", NULL},
        {"{\"nodes\":[" V "{\"op\":\"lag\",\"a\":1,\"n\":1e300}]}",
         "prepare: nodes 2: 'n' is not a whole number from -1000000000 on", NULL},
        {"{\"nodes\":[" V "{\"op\":\"to\",\"a\":1,\"unit\":\"K\"}]}",
         "prepare: nodes 2: 'm s-1' cannot be converted to 'K'", NULL},
        {"{\"nodes\":[" V "{\"op\":\"in_sector\",\"a\":1,\"from\":0,\"to\":9}]}",
         "prepare: nodes 2: in_sector: the column is in 'm s-1', not in 'degree'", NULL},
        {"{\"nodes\":[" V "],\"adds\":[{\"name\":\"t\",\"node\":1}]}",
         "prepare: adds 1: the source has a channel 't' already", NULL},
        {"{\"nodes\":[" V "],\"adds\":[{\"name\":\"a b\",\"node\":1}]}",
         "prepare: adds 1: 'a b' is no name: letters, digits and _ make one", NULL},
        {"{\"nodes\":[" V "{\"op\":\"missing\",\"a\":1}],\"adds\":[{\"name\":\"x\",\"node\":2}]}",
         "prepare: adds 1: 'x' is a mask and cannot be added as a channel",
         "drop on it: s:drop(\"why\", mask, { \"channel\" })"},
        {"{\"nodes\":[" V "],\"adds\":[{\"name\":\"x\",\"node\":1,\"unit\":\"K\"}]}",
         "prepare: adds 1: 'm s-1' cannot be converted to 'K'", NULL},
        {"{\"nodes\":[" V "],\"drops\":[{\"reason\":\"r\",\"mask\":1}]}",
         "prepare: drops 1: \"r\": a drop needs a mask, as s.x:below(2, \"m/s\") makes one", NULL},
        {"{\"nodes\":[" V "{\"op\":\"missing\",\"a\":1}],\"drops\":[{\"reason\":\"a\\nb\","
         "\"mask\":2}]}",
         "prepare: drops 1: the reason is not a text of 1 to 120 characters on one line", NULL},
        {"{\"nodes\":[" V "{\"op\":\"missing\",\"a\":1}],\"drops\":[{\"reason\":\"r\",\"mask\":2,"
         "\"channels\":[\"tt\"]}]}",
         "prepare: drops 1: the source has no channel 'tt'", "did you mean 't'?"},
        {"{\"nodes\":[" V "{\"op\":\"missing\",\"a\":1}],\"drops\":[{\"reason\":\"r\",\"mask\":2,"
         "\"channels\":[]}]}",
         "prepare: drops 1: \"r\": the channels are not a list of names", NULL},
        {"{\"nodes\":[" V "{\"op\":\"missing\",\"a\":1}],\"drops\":[{\"reason\":\"r\",\"mask\":2},"
         "{\"reason\":\"r\",\"mask\":2}]}",
         "prepare: drops 2: the reason \"r\" is used twice", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char json[600];
        snprintf(json, sizeof json, "%s", cases[i].json);
        for (char *comma = strstr(json, ",]"); comma != NULL; comma = strstr(json, ",]"))
            memmove(comma, comma + 1, strlen(comma)); /* after a last V, T, ... */
        wa_formula *f = NULL;
        wa_error err = {0};
        assert_int_equal(decode(&f, json, &err), WA_ERR_DATA);
        assert_null(f);
        assert_int_equal(err.code, WA_ERR_DATA);
        assert_string_equal(err.text, cases[i].error);
        if (cases[i].hint != NULL)
            assert_string_equal(err.hint, cases[i].hint);
    }
}

static uint32_t seed = 4711;

static uint32_t random_below(uint32_t n)
{
    seed = seed * 1664525u + 1013904223u;
    return (seed >> 8) % n;
}

/* A node as a stranger might write it: mostly of the right shape, with any operands. */
static wa_value *any_node(size_t nodes)
{
    static const char *const ops[] = {
        "channel",       "number",     "add",       "sub",    "mul",     "div",    "pow",
        "atan2",         "neg",        "abs",       "sqrt",   "exp",     "log",    "sin",
        "asin",          "difference", "to",        "lag",    "mean",    "sd",     "where",
        "circular_mean", "unchanged",  "quantile",  "below",  "above",   "has",    "is",
        "and",           "or",         "not",       "grow",   "between", "equals", "max",
        "count",         "missing",    "in_sector", "median", "tan"};
    static const char *const names[] = {"los_speed", "t",  "dir",       "status",
                                        "state",     "ok", "window wet"};
    static const char *const units[] = {"m/s", "km/h", "degF", "K", "1", "%", "degree", "rad"};
    static const double numbers[] = {0, 1, 2, -3, 0.5, 10, 1e308, 5e-324, 360, 1e9};
    uint32_t most = nodes > 0 ? (uint32_t)nodes + 1 : 1;
    wa_value *n = wa_map();
    wa_map_set(n, "op", wa_string(ops[random_below(sizeof ops / sizeof *ops)]));
    wa_map_set(n, "name", wa_string(names[random_below(7)]));
    if (random_below(2) == 0)
        wa_map_set(n, "unit", wa_string(units[random_below(8)]));
    for (const char *key = "abc"; *key != '\0'; key++)
        wa_map_set(n, (const char[]){*key, '\0'}, wa_number(random_below(most) + 0.0));
    static const char *const more[] = {"value", "n", "p", "from", "to"};
    for (size_t i = 0; i < 5; i++)
        wa_map_set(n, more[i], wa_number(numbers[random_below(10)]));
    return n;
}

/* Whatever is accepted can be computed and printed: values finite or missing, masks of three
 * states. */
static void strangers(void **unused)
{
    (void)unused;
    wa_formula_channel c[CHANNELS];
    size_t taken = 0, masks_seen = 0;
    channels(c);
    for (int round = 0; round < 300; round++) {
        wa_formula *f = NULL;
        assert_int_equal(wa_formula_new(&f, c, CHANNELS, NULL), WA_OK);
        size_t nodes = 0;
        for (int i = 0; i < 150; i++) {
            wa_value *node = any_node(nodes), *result = wa_map();
            if (wa_formula_take_node(f, node, NULL) == WA_OK) {
                char name[16];
                nodes++;
                snprintf(name, sizeof name, "x%zu", nodes);
                wa_map_set(result, "name", wa_string(name));
                wa_map_set(result, "node", wa_number((double)nodes));
                if (wa_formula_take_add(f, result, NULL) != WA_OK) {
                    wa_value *drop = wa_map();
                    wa_map_set(drop, "reason", wa_string(name));
                    wa_map_set(drop, "mask", wa_number((double)nodes));
                    (void)wa_formula_take_drop(f, drop, NULL);
                    wa_value_free(drop);
                }
            }
            wa_value_free(node);
            wa_value_free(result);
        }
        double values_room[WA_FORMULA_RESULTS_MOST][N], *added[WA_FORMULA_RESULTS_MOST];
        uint8_t masks_room[WA_FORMULA_RESULTS_MOST][N], *drop[WA_FORMULA_RESULTS_MOST];
        for (size_t i = 0; i < WA_FORMULA_RESULTS_MOST; i++) {
            added[i] = values_room[i];
            drop[i] = masks_room[i];
        }
        wa_formula_scratch scratch = {0};
        assert_int_equal(wa_formula_evaluate(f, data, N, added, drop, &scratch, NULL), WA_OK);
        for (size_t i = 0; i < wa_formula_adds(f); i++)
            for (size_t k = 0; k < N; k++)
                assert_true(!isinf(added[i][k]));
        for (size_t i = 0; i < wa_formula_drops(f); i++)
            for (size_t k = 0; k < N; k++)
                assert_true(drop[i][k] <= WA_UNKNOWN);
        wa_value *lines = wa_formula_lines(f);
        assert_non_null(lines);
        taken += wa_formula_adds(f);
        masks_seen += wa_formula_drops(f);
        wa_value_free(lines);
        wa_formula_scratch_release(&scratch);
        wa_formula_free(f);
    }
    assert_true(taken > 2000 && masks_seen > 1000); /* the search reaches what it is after */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(arithmetic),    cmocka_unit_test(statistics),
        cmocka_unit_test(masks),         cmocka_unit_test(several_results),
        cmocka_unit_test(reads_as_text), cmocka_unit_test(text_does_not_explode),
        cmocka_unit_test(refused),       cmocka_unit_test(strangers),
    };
    return cmocka_run_group_tests_name("formula", tests, NULL, NULL);
}
