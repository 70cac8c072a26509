/* SHA-256 against the examples of NIST (FIPS 180-4, "SHA256.pdf" and the long message of the
 * CAVS "SHAVS" document: one million times 'a'), in one piece and in many. */
#include "windassay/digest.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void published_examples(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
        {"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
        {"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
         "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[WA_SHA256_TEXT_SIZE];
        assert_int_equal(wa_sha256_of(text, rows[i][0], strlen(rows[i][0]), NULL), WA_OK);
        assert_string_equal(text, rows[i][1]);
    }
}

static void pieces_do_not_matter(void **state)
{
    (void)state;
    char a[1000], text[WA_SHA256_TEXT_SIZE];
    memset(a, 'a', sizeof a);
    for (size_t piece = 1; piece <= sizeof a; piece = piece * 3 + 1) {
        wa_sha256 h;
        assert_int_equal(wa_sha256_init(&h, NULL), WA_OK);
        for (size_t left = 1000000; left > 0;) {
            size_t n = left < piece ? left : piece;
            assert_int_equal(wa_sha256_add(&h, a, n, NULL), WA_OK);
            left -= n;
        }
        assert_int_equal(wa_sha256_add(&h, NULL, 0, NULL), WA_OK);
        assert_int_equal(wa_sha256_end(text, &h, NULL), WA_OK);
        assert_string_equal(text,
                            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
    }
}

static void can_be_given_up(void **state)
{
    (void)state;
    wa_sha256 h;
    assert_int_equal(wa_sha256_init(&h, NULL), WA_OK);
    wa_sha256_release(&h);
    wa_sha256_release(&h);
    wa_sha256_release(NULL);
    assert_null(h.context);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_examples),
        cmocka_unit_test(pieces_do_not_matter),
        cmocka_unit_test(can_be_given_up),
    };
    return cmocka_run_group_tests_name("digest", tests, NULL, NULL);
}
