/* The ledger: counts are compared with their definitions, counted again in the plainest way, on
 * small cases worked by hand and on many random masks. */
#include "listing_text.h"
#include "windassay/account.h"
#include "windassay/csv_field.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <string.h>

static const uint8_t icing[6] = {1, 1, 0, 2, 0, 0}, sector[6] = {0, 1, 1, 0, 2, 0};

static wa_account *example(void)
{
    wa_account *a = NULL;
    assert_int_equal(wa_account_new(&a, "intervals", 6, NULL), WA_OK);
    assert_int_equal(wa_account_exclude(a, "icing possible", icing, true, false, NULL), WA_OK);
    assert_int_equal(wa_account_exclude(a, "disturbed sector", sector, false, true, NULL), WA_OK);
    return a;
}

static void counts_by_hand(void **state)
{
    (void)state;
    wa_account *a = example();
    const wa_exclusion *e = a->exclusions;
    assert_string_equal(e[0].code, "x1");
    assert_int_equal(e[0].intervals, 2);
    assert_int_equal(e[0].unknown, 1);
    assert_int_equal(e[0].only, 1);
    assert_int_equal(e[0].left, 4); /* the unknown one is kept */
    assert_int_equal(e[1].intervals, 2);
    assert_int_equal(e[1].unknown, 1);
    assert_int_equal(e[1].only, 2); /* one met, one that cannot be judged */
    assert_int_equal(e[1].left, 2);
    assert_int_equal(wa_account_left(a), 2);
    assert_true(wa_account_has(a, 3) && wa_account_has(a, 5));
    assert_false(wa_account_has(a, 4));
    wa_account_free(a);
}

static void files_by_hand(void **state)
{
    wa_listing listing;
    (void)state;
    wa_account *a = example(), *b = NULL;
    assert_int_equal(wa_account_close(a, (const uint8_t *)"xxxrxo", NULL), WA_OK);
    assert_int_equal(a->used + a->records_only + a->outside + a->excluded, 6);
    assert_int_equal(a->records_only, 1);
    assert_int_equal(a->outside, 1);
    assert_int_equal(wa_account_new(&b, "low", 6, NULL), WA_OK);
    assert_int_equal(wa_account_close(b, NULL, NULL), WA_OK);
    wa_ledger_column columns[] = {{"speed", a}, {"speed.low, 7 m", b}};
    wa_text t = WA_TEXT_INIT;
    assert_true(listing_text(
        &t, wa_ledger_list(&listing, 1772409600000000000, 600000000000, 6, columns, 2), &listing));
    assert_string_equal(wa_text_string(&t), "time,speed,\"speed.low, 7 m\"\n"
                                            "2026-03-02T00:00:00Z,x1,used\n"
                                            "2026-03-02T00:10:00Z,x1+x2,used\n"
                                            "2026-03-02T00:20:00Z,x2,used\n"
                                            "2026-03-02T00:30:00Z,records only,used\n"
                                            "2026-03-02T00:40:00Z,x2?,used\n"
                                            "2026-03-02T00:50:00Z,outside,used\n");
    wa_text_clear(&t);
    assert_true(wa_reasons_write(&t, columns, 2));
    assert_string_equal(wa_text_string(&t), "account,code,reason,intervals,only,unknown,left\n"
                                            "speed,x1,icing possible,2,1,1,4\n"
                                            "speed,x2,disturbed sector,2,2,1,2\n");
    wa_text_release(&t);
    wa_account_free(a);
    wa_account_free(b);
}

static void a_lie_about_states_is_found(void **state)
{
    (void)state;
    static const char *const lies[] = {"xxuuxu", "xxxxxu", "xxxuxq"};
    for (size_t i = 0; i < 3; i++) {
        wa_account *a = example();
        wa_error err = {0};
        assert_int_equal(wa_account_close(a, (const uint8_t *)lies[i], &err), WA_ERR_DATA);
        assert_null(a->states);
        assert_non_null(strstr(err.text, i == 0   ? "interval 2"
                                         : i == 1 ? "interval 3"
                                                  : "interval 5"));
        wa_account_free(a);
    }
}

static void what_is_refused(void **state)
{
    (void)state;
    wa_account *a = example();
    const uint8_t strange[6] = {0, 0, 3, 0, 0, 0};
    char longest[WA_REASON_LIMIT + 2];
    memset(longest, 'a', sizeof longest);
    longest[WA_REASON_LIMIT + 1] = '\0';
    assert_int_equal(wa_account_exclude(a, "icing possible", icing, true, false, NULL),
                     WA_ERR_SCRIPT);
    assert_int_equal(wa_account_exclude(a, "", icing, true, false, NULL), WA_ERR_SCRIPT);
    assert_int_equal(wa_account_exclude(a, longest, icing, true, false, NULL), WA_ERR_SCRIPT);
    assert_int_equal(wa_account_exclude(a, "a\nb", icing, true, false, NULL), WA_ERR_SCRIPT);
    assert_int_equal(wa_account_exclude(a, "a\xff", icing, true, false, NULL), WA_ERR_SCRIPT);
    assert_int_equal(wa_account_exclude(a, "other", strange, true, false, NULL), WA_ERR_DATA);
    assert_int_equal(a->n_exclusions, 2);
    assert_int_equal(wa_account_close(a, NULL, NULL), WA_OK);
    assert_int_equal(wa_account_exclude(a, "late", icing, true, false, NULL), WA_ERR_SCRIPT);
    assert_int_equal(wa_account_close(a, NULL, NULL), WA_ERR_SCRIPT);
    wa_account_free(a);
}

static void events_come_first(void **state)
{
    (void)state;
    wa_account *a = NULL;
    char reason[] = "logbook: window cleaned";
    uint8_t mask[6] = {1, 0, 0, 0, 0, 0};
    wa_event event = {reason, mask};
    assert_int_equal(wa_account_new(&a, "intervals", 6, NULL), WA_OK);
    assert_int_equal(wa_account_exclude_events(a, &event, 1, NULL), WA_OK);
    assert_true(a->exclusions[0].event);
    assert_int_equal(a->exclusions[0].left, 5);
    wa_account_free(a);
}

/* Numerical Recipes' quick generator; any would do. */
static uint32_t next(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 16;
}

enum { N = 200, K = 7 };

static void definitions_hold_for_random_masks(void **state)
{
    (void)state;
    uint32_t seed = 417;
    for (int round = 0; round < 50; round++) {
        uint8_t mask[K][N];
        bool keep[K], out[K][N];
        wa_account *a = NULL;
        assert_int_equal(wa_account_new(&a, "x", N, NULL), WA_OK);
        for (size_t k = 0; k < K; k++) {
            char reason[] = "reason 0";
            reason[7] = (char)('0' + k);
            keep[k] = next(&seed) % 2 == 0;
            for (size_t i = 0; i < N; i++) {
                uint32_t r = next(&seed) % 12;
                mask[k][i] = (uint8_t)(r < 2 ? 1 : r == 2 ? 2 : 0);
                out[k][i] = mask[k][i] == 1 || (mask[k][i] == 2 && !keep[k]);
            }
            assert_int_equal(wa_account_exclude(a, reason, mask[k], keep[k], false, NULL), WA_OK);
        }
        for (size_t k = 0; k < K; k++) {
            size_t intervals = 0, unknown = 0, only = 0, left = 0;
            for (size_t i = 0; i < N; i++) {
                size_t others = 0, before = 0;
                for (size_t j = 0; j < K; j++) {
                    others += j != k && out[j][i];
                    before += j <= k && out[j][i];
                }
                intervals += mask[k][i] == 1;
                unknown += mask[k][i] == 2;
                only += out[k][i] && others == 0;
                left += before == 0;
            }
            assert_int_equal(a->exclusions[k].intervals, intervals);
            assert_int_equal(a->exclusions[k].unknown, unknown);
            assert_int_equal(a->exclusions[k].only, only);
            assert_int_equal(a->exclusions[k].left, left);
        }
        assert_int_equal(wa_account_close(a, NULL, NULL), WA_OK);
        assert_int_equal(a->used, wa_account_left(a));
        assert_int_equal(a->used + a->excluded, N);
        wa_account_free(a);
    }
}

static void csv_fields(void **state)
{
    (void)state;
    struct {
        const char *in, *out;
    } cases[] = {{"plain", "plain"},
                 {"a,b", "\"a,b\""},
                 {"say \"a\"", "\"say \"\"a\"\"\""},
                 {"two\nlines", "\"two\nlines\""},
                 {" blank", "\" blank\""},
                 {"", "\"\""},
                 {NULL, ""}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_text t = WA_TEXT_INIT;
        wa_csv_add(&t, cases[i].in);
        assert_string_equal(wa_text_string(&t), cases[i].out);
        wa_text_release(&t);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(counts_by_hand),
        cmocka_unit_test(files_by_hand),
        cmocka_unit_test(a_lie_about_states_is_found),
        cmocka_unit_test(what_is_refused),
        cmocka_unit_test(events_come_first),
        cmocka_unit_test(definitions_hold_for_random_masks),
        cmocka_unit_test(csv_fields),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
