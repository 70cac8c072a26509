/* Plain text without the parser: every vector level finds what looking at each byte finds. */
#include "data/index.h"
#include "data/integers.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static uint64_t state = 1;

static uint32_t draw(uint32_t below) /* a linear congruential generator: only variety counts */
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)((state >> 33) % below);
}

/* How far a text is plain, looking at each byte: whole blocks of 64. */
static size_t plain_until(const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)text[i];
        bool lone = c == '\r' && i + 1 < n && text[i + 1] != '\n';
        if (c == 0 || c > 127 || c == '"' || lone)
            return i / 64 * 64;
    }
    return n;
}

static void check_index(const char *text, size_t n, wa_vector_level level)
{
    wa_index x = {0};
    size_t until = plain_until(text, n), ends = 0, feeds = 0;
    assert_true(wa_index_reserve(&x, n + 1));
    assert_int_equal(wa_index_make(&x, text, n, ';', level), until == n);
    for (size_t i = 0; i < until; i++) {
        if (text[i] == ';' || text[i] == '\n')
            assert_int_equal(x.end[ends++], i);
        feeds += text[i] == '\n';
    }
    assert_int_equal(x.ends, ends);
    assert_int_equal(x.feeds, feeds);
    assert_int_equal(x.end[-1] + 1, 0);
    size_t rows = 0, fields = 0;
    for (size_t i = 0; i < ends && fields < 3; i++) { /* of three fields */
        fields++;
        if (text[x.end[i]] == '\n' && fields != 3)
            break;
        if (text[x.end[i]] == '\n') {
            rows++;
            fields = 0;
        }
    }
    assert_int_equal(wa_index_rows(&x, text, 3), rows);
    wa_index_release(&x);
}

static void index_is_the_same_at_every_level(void **ctx)
{
    (void)ctx;
    static const char common[] = "0123456789.;;\n-", rare[] = "\"\r\0\x80\xff";
    for (int round = 0; round < 4000; round++) {
        size_t n = draw(400);
        char *text = malloc(n + 1); /* of its own size: the sanitizer sees a byte beyond it */
        for (size_t i = 0; i < n; i++)
            text[i] = draw(200) == 0 ? rare[draw(5)] : common[draw(15)];
        for (size_t i = 2; round % 4 > 1 && i + 3 < n; i += 3) { /* rows of three fields */
            bool ends = i % 9 == 8;
            text[i] = ends ? '\n' : ';';
            text[i - 1] = text[i - 2] = '1';
        }
        for (size_t i = 1; i < n; i++)
            if (text[i] == '\n' && round % 2 == 0)
                text[i - 1] = '\r';
        for (wa_vector_level level = WA_VECTOR_PORTABLE; level <= WA_VECTOR_AVX512; level++)
            if (wa_index_level(level) == level)
                check_index(text, n, level);
        free(text);
    }
}

static void sums_are_the_same_at_every_level(void **ctx)
{
    (void)ctx;
    for (int round = 0; round < 2000; round++) {
        size_t n = draw(70), left = 0;
        wa_datum is[70];
        uint8_t out[70], usual = (uint8_t)(round % 2 == 0 ? 0 : draw(256));
        int64_t size = round % 10 == 0 ? (int64_t)1 << (20 + draw(40)) : 1000;
        wa_uint128 squares = 0;
        int64_t sum = 0, least = INT64_MAX, greatest = INT64_MIN;
        for (size_t i = 0; i < n; i++) {
            is[i].digits = (int64_t)(draw(1u << 31) * (uint64_t)size >> 31) - size / 2;
            out[i] = draw(10) == 0 ? (uint8_t)(usual + 1 + draw(255)) : usual;
            if (out[i] != usual)
                continue;
            int64_t x = is[i].digits;
            left++;
            sum = (int64_t)((uint64_t)sum + (uint64_t)x);
            squares += (wa_uint128)((wa_int128)x * x);
            least = x < least ? x : least;
            greatest = x > greatest ? x : greatest;
        }
        for (wa_vector_level level = WA_VECTOR_PORTABLE; level <= WA_VECTOR_AVX512; level++) {
            wa_integer_sums t;
            if (wa_index_level(level) != level || !wa_integers_sum(&t, is, out, usual, n, level)) {
                assert_true(size > 1 << 20);
                continue;
            }
            assert_int_equal(t.n, left);
            assert_true(t.sum == sum && t.squares == squares);
            assert_true(left == 0 || (t.least == least && t.greatest == greatest));
        }
    }
}

static void tags_are_counted(void **ctx)
{
    (void)ctx;
    for (int round = 0; round < 2000; round++) {
        enum { MOST = 9000 };
        size_t n = draw(round % 50 == 0 ? MOST : 200), marked = 0, outs = 0, missing = 0;
        uint8_t tag[MOST], out[MOST], to[MOST];
        bool differ = false, any = false;
        for (size_t i = 0; i < n; i++) {
            tag[i] = draw(9) == 0 || round % 100 == 0 ? WA_TAG_MISSING
                     : draw(300) == 0                 ? WA_TAG_DOUBLE
                                                      : 3;
            out[i] = draw(5) == 0;
            marked += out[i] != 0 || tag[i] == WA_TAG_MISSING;
            outs += out[i];
            missing += tag[i] == WA_TAG_MISSING;
        }
        uint8_t common = WA_TAG_MISSING;
        for (size_t i = 0; i < n; i++) {
            if (tag[i] == WA_TAG_MISSING)
                continue;
            differ |= any && tag[i] != common;
            common = any ? common : tag[i];
            any = true;
        }
        assert_int_equal(wa_tags_missing(to, out, tag, n), marked);
        for (size_t i = 0; i < n; i++)
            assert_int_equal(to[i], out[i] != 0 || tag[i] == WA_TAG_MISSING);
        assert_int_equal(wa_tags_count(out, n), outs);
        assert_int_equal(wa_tags_look(tag, n).common, differ ? WA_TAG_MISSING : common);
        assert_int_equal(wa_tags_look(tag, n).missing, missing);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(index_is_the_same_at_every_level),
        cmocka_unit_test(sums_are_the_same_at_every_level),
        cmocka_unit_test(tags_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
