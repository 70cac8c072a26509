/* Statistics of intervals, through the reader, against tests/reference/averaging: 1 Hz rows with
 * gaps. exact_decimals.json: rational arithmetic on the decimals as written, met to the last bit.
 * expected.json: R and 40-digit arithmetic on the nearest doubles. And single rules by hand. */
#include "by_hand.h"

#include "data/averaging.h"
#include "windassay/json.h"

#include <math.h>

static wa_value *expected_averages(const char *name)
{
    char path[256];
    snprintf(path, sizeof path, "%s/reference/averaging/%s", WA_TESTS_DIR, name);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    static char text[65536];
    size_t n = fread(text, 1, sizeof text, f);
    fclose(f);
    wa_value *v = NULL;
    assert_int_equal(wa_json_read(&v, text, n, path, NULL), WA_OK);
    return v;
}

static double expected_number(const wa_value *block, const char *channel, const char *what)
{
    const wa_value *v = wa_get(wa_get(block, channel), what);
    double x = 0;
    if (!wa_number_of(v, &x))
        x = strtod(wa_get_string(v, "double"), NULL);
    return x;
}

/* `sd_within`: relative. The oracle of doubles moves each pressure (101325 Pa) by up to half a unit
 * in its last place, 7e-12 Pa, so that its deviation (0.01 Pa) differs by up to 7e-10 of itself. */
static void check_scalar(const wa_series *s, size_t i, const wa_value *block, bool divisor_n,
                         double sd_within)
{
    double want = expected_number(block, s->name, divisor_n ? "sd_population" : "sd_sample");
    assert_true(s->count[i] == expected_number(block, s->name, "count"));
    assert_true(s->mean[i] == expected_number(block, s->name, "mean"));
    assert_true(s->min[i] == expected_number(block, s->name, "min"));
    assert_true(s->max[i] == expected_number(block, s->name, "max"));
    if (fabs(s->sd[i] / want - 1) > sd_within)
        fail_msg("%s %zu: sd %.17g, expected %.17g", s->name, i, s->sd[i], want);
    assert_true(s->availability[i] == s->count[i] / 600);
}

static void check_direction(const wa_series *s, size_t i, const wa_value *block)
{
    assert_true(s->count[i] == expected_number(block, s->name, "count"));
    assert_true(fabs(s->mean[i] - expected_number(block, s->name, "circ_mean_deg")) < 1e-12);
    assert_true(fabs(s->resultant[i] - expected_number(block, s->name, "R")) < 1e-15);
    assert_true(fabs(s->sd[i] - expected_number(block, s->name, "circ_sd_deg")) < 1e-12);
}

static void hand_oracle(hand *h)
{
    static char folder[256];
    static wa_expected every = {.every_ns = WA_SECOND_NS};
    snprintf(folder, sizeof folder, "%s/reference/averaging", WA_TESTS_DIR);
    hand_init(h, folder, "timestamp", "2022-02-28T22:40:00Z", "2022-02-28T23:40:00Z");
    hand_files(h, "onehz.csv");
    hand_missing_text(h, "NaN");
    hand_missing_number(h, -999);
    hand_channel(h, "speed", WA_CHANNEL_SCALAR, "m s-1");
    hand_channel(h, "direction", WA_CHANNEL_DIRECTION, "degree");
    hand_channel(h, "pressure", WA_CHANNEL_SCALAR, "Pa")->unit = h->channel[2].unit_in_file;
    hand_channel(h, "temperature", WA_CHANNEL_SCALAR, "degC");
    h->source.expected = &every;
    h->source.n_expected = 1;
}

static void averages_agree_with_the_oracle(void **state)
{
    (void)state;
    wa_value *blocks = expected_averages("expected.json");
    wa_value *decimals = expected_averages("exact_decimals.json");
    for (int divisor_n = 0; divisor_n < 2; divisor_n++) {
        hand h;
        hand_oracle(&h);
        h.source.divisor_n = divisor_n != 0;
        wa_records *r = NULL;
        wa_error e = {0};
        if (wa_records_read(&r, &h.campaign, 2, NULL, &e) != WA_OK)
            fail_msg("%s:%zu:%zu: %s", e.file, e.line, e.column, e.text);
        assert_int_equal(r->n, 6);
        assert_true(isnan(hand_series(r, "speed")->mean[0]));
        assert_true(hand_series(r, "speed")->count[0] == 0);
        for (size_t b = 0; b < wa_count(blocks); b++) {
            const wa_value *block = wa_at(blocks, b), *exact = wa_at(decimals, b);
            for (size_t k = 0; k < 3; k++) {
                const char *name = (const char *[]){"speed", "pressure", "temperature"}[k];
                const wa_series *series = hand_series(r, name);
                check_scalar(series, b + 1, exact, h.source.divisor_n, 0);
                check_scalar(series, b + 1, block, h.source.divisor_n, 7e-10);
            }
            check_direction(hand_series(r, "direction"), b + 1, block);
        }
        wa_records_free(r);
    }
    wa_value_free(blocks);
    wa_value_free(decimals);
}

/* Some samples by hand, as the decimals that stand in a file. */
static wa_statistics of(const int64_t *digits, const uint8_t *tag, size_t n)
{
    wa_datum is[8];
    double room[8];
    wa_statistics t;
    for (size_t i = 0; i < n; i++)
        is[i].digits = digits[i];
    const wa_samples s = {.is = is, .tag = tag, .n = n};
    assert_int_equal(wa_average_scalar(&t, &s, WA_DIVISOR_N_MINUS_1, room, NULL), WA_OK);
    return t;
}

static void decimals_of_any_scale_agree(void **state)
{
    (void)state;
    /* 0.1 0.20 0.300: mean 0.2, sd 0.1, exactly (the sum of doubles gives 0.2 by luck only) */
    wa_statistics t = of((int64_t[]){1, 20, 300}, (uint8_t[]){1, 2, 3}, 3);
    assert_true(t.mean == 0.2 && t.sd == 0.1 && t.min == 0.1 && t.max == 0.3 && t.count == 3);
    /* a scale at which 2^31 is passed: the nearest doubles in exact sums */
    t = of((int64_t[]){5, 1, 3}, (uint8_t[]){0, 12, 0}, 3);
    assert_true(fabs(t.mean - 8.000000000001 / 3) < 1e-15 && t.max == 5 && t.min == 1e-12);
    t = of((int64_t[]){2147483648, 2147483650}, (uint8_t[]){0, 0}, 2);
    assert_true(t.mean == 2147483649.0 && t.sd == sqrt(2.0));
    /* nothing, and one value: no deviation */
    t = of((int64_t[]){7}, (uint8_t[]){WA_TAG_MISSING}, 1);
    assert_true(t.count == 0 && isnan(t.mean) && isnan(t.sd) && isnan(t.min));
    t = of((int64_t[]){7}, (uint8_t[]){1}, 1);
    assert_true(t.count == 1 && t.mean == 0.7 && isnan(t.sd));
}

/* practice.md 4.3: 350 and 10 average to 0 with R .9848077530 and sd 10.02556025; opposite
 * directions have no mean. */
static void directions_cross_north(void **state)
{
    (void)state;
    const double x[] = {350, 10}, across[] = {0, 90, 180, 270};
    wa_statistics t;
    assert_int_equal(wa_average_degrees(&t, x, NULL, 2, NULL), WA_OK);
    assert_true(t.mean == 0 && fabs(t.resultant - .9848077530) < 1e-10);
    assert_true(fabs(t.sd - 10.02556025) < 1e-8);
    assert_int_equal(wa_average_degrees(&t, across, NULL, 4, NULL), WA_OK);
    assert_true(t.count == 4 && isnan(t.mean) && isnan(t.sd));
    /* the table of logged angles gives what the function gives */
    wa_angle_table table = {0};
    const wa_datum is[] = {{.digits = 3500}, {.digits = 100}, {.digits = 3500}};
    const uint8_t tag[] = {1, 1, 1};
    const wa_samples s = {.is = is, .tag = tag, .n = 3};
    wa_statistics u;
    assert_int_equal(wa_average_direction(&t, &s, 1, 0.25, &table, NULL), WA_OK);
    const double shifted[] = {350.25, 10.25, 350.25};
    assert_int_equal(wa_average_degrees(&u, shifted, NULL, 3, NULL), WA_OK);
    assert_true(t.mean == u.mean && t.resultant == u.resultant && t.sd == u.sd);
    wa_angle_table_release(&table);
}

static void same(const wa_statistics *a, const wa_statistics *b)
{
    assert_int_equal(a->count, b->count);
    assert_memory_equal(&a->mean, &b->mean, sizeof a->mean);
    assert_memory_equal(&a->sd, &b->sd, sizeof a->sd);
    assert_memory_equal(&a->min, &b->min, sizeof a->min);
    assert_memory_equal(&a->max, &b->max, sizeof a->max);
    assert_memory_equal(&a->resultant, &b->resultant, sizeof a->resultant);
}

/* What is known beforehand (one scale, what is left out) changes no answer. */
static void a_known_scale_changes_nothing(void **state)
{
    (void)state;
    enum { MOST = 700 };
    uint64_t drawn = 1;
    for (int round = 0; round < 300; round++) {
        wa_datum is[MOST];
        uint8_t tag[MOST], out[MOST];
        double room[MOST];
        size_t n = (size_t)round * 7 % MOST;
        for (size_t i = 0; i < n; i++) {
            drawn = drawn * 6364136223846793005u + 1442695040888963407u;
            is[i].digits = (int64_t)(drawn >> 33) % 3600;
            if (round % 10 == 0 && (drawn >> 24) % 500 == 0)
                is[i].digits <<= 30; /* not below 2^31, and no direction of the table */
            tag[i] = (drawn >> 20) % 16 == 0 || round % 50 == 0 ? WA_TAG_MISSING : 1;
            out[i] = tag[i] == WA_TAG_MISSING;
        }
        wa_statistics first[2], other[2];
        for (int how = 0; how < 3; how++) {
            wa_samples s = {is, tag, how == 2 ? out : NULL, n, WA_VECTOR_PORTABLE, how > 0, 1};
            wa_angle_table table = {0};
            assert_int_equal(wa_average_scalar(&other[0], &s, WA_DIVISOR_N_MINUS_1, room, NULL),
                             WA_OK);
            assert_int_equal(wa_average_direction(&other[1], &s, 1, 0.25, &table, NULL), WA_OK);
            wa_angle_table_release(&table);
            for (int k = 0; k < 2; k++) {
                first[k] = how == 0 ? other[k] : first[k];
                same(&first[k], &other[k]);
            }
        }
    }
}

static void affine_changes_apply_to_statistics(void **state)
{
    (void)state;
    wa_statistics t = {.count = 2, .mean = 3, .sd = 1, .min = 2, .max = 4};
    wa_average_affine(&t, -2, 1);
    assert_true(t.mean == -5 && t.sd == 2 && t.min == -7 && t.max == -3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(averages_agree_with_the_oracle),
        cmocka_unit_test(decimals_of_any_scale_agree),
        cmocka_unit_test(directions_cross_north),
        cmocka_unit_test(a_known_scale_changes_nothing),
        cmocka_unit_test(affine_changes_apply_to_statistics),
    };
    return cmocka_run_group_tests_name("average", tests, NULL, NULL);
}
