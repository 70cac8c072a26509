/* Listings: whatever the number of threads, the same bytes in the same order. */
#include "windassay/listing.h"
#include "windassay/time.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* The second column is empty, long or short, so that pieces differ. */
static void cells(const void *context, size_t i, wa_text *out)
{
    const char *word = context;
    wa_text_printf(out, ",%zu,", i * i);
    for (size_t k = 0; k < i % 97 % 13; k++)
        wa_text_add(out, word);
}

static wa_listing listing(size_t n)
{
    static char word[] = "Ravnmoor";
    wa_listing l = {.from = 1767225600 * WA_SECOND_NS,
                    .interval_ns = 600 * WA_SECOND_NS,
                    .n = n,
                    .names = WA_TEXT_INIT,
                    .cells = cells,
                    .context = word};
    wa_text_add(&l.names, ",square,words");
    return l;
}

typedef struct taken {
    wa_text text;
    size_t pieces, fail_at; /* 0: it does not fail */
} taken;

static wa_status take(void *to, const char *bytes, size_t n, wa_error *err)
{
    taken *t = to;
    assert_true(n > 0 && bytes[n - 1] == '\n');
    if (++t->pieces == t->fail_at)
        return wa_fail(err, WA_ERR_IO, "piece %zu", t->pieces);
    assert_true(t->fail_at == 0 || t->pieces < t->fail_at); /* not after it failed */
    wa_text_add_bytes(&t->text, bytes, n);
    return WA_OK;
}

static void the_same_bytes_for_any_number_of_threads(void **state)
{
    (void)state;
    static const size_t lengths[] = {0, 1, 2, 700, 9000, 60000};
    for (size_t k = 0; k < sizeof lengths / sizeof *lengths; k++) {
        wa_listing l = listing(lengths[k]);
        wa_text lines = WA_TEXT_INIT;
        for (size_t i = 0; i <= l.n + 1; i++)
            wa_listing_line(&lines, &l, i);
        for (size_t jobs = 0; jobs < 6; jobs++) {
            taken t = {.text = WA_TEXT_INIT};
            assert_int_equal(wa_listing_make(&l, jobs, take, &t, NULL), WA_OK);
            assert_int_equal(t.text.length, lines.length);
            assert_memory_equal(t.text.at, lines.at, lines.length);
            assert_true(l.n < 9000 || t.pieces > 2);
            wa_text_release(&t.text);
        }
        wa_text_release(&lines);
        wa_listing_release(&l);
    }
}

static void it_stops_where_a_piece_is_not_taken(void **state)
{
    (void)state;
    wa_listing l = listing(60000);
    for (size_t jobs = 1; jobs < 4; jobs++)
        for (size_t at = 1; at < 5; at++) {
            taken t = {.text = WA_TEXT_INIT, .fail_at = at};
            wa_error err = {0};
            char said[20];
            sprintf(said, "piece %zu", at);
            assert_int_equal(wa_listing_make(&l, jobs, take, &t, &err), WA_ERR_IO);
            assert_string_equal(err.text, said);
            assert_int_equal(t.pieces, at);
            assert_int_equal(wa_listing_make(&l, jobs, take, &(taken){.fail_at = 1}, NULL),
                             WA_ERR_IO);
            wa_text_release(&t.text);
        }
    wa_listing_release(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_bytes_for_any_number_of_threads),
        cmocka_unit_test(it_stops_where_a_piece_is_not_taken),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
