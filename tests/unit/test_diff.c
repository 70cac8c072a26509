/* Unified diffs: what GNU diff writes where there is one shortest way; and, of texts drawn at random,
 * that the old text with the diff applied is the new one. */
#include "windassay/diff.h"
#include "windassay/random.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static wa_text diff(const char *a, const char *b)
{
    wa_text t = WA_TEXT_INIT;
    wa_error err;
    if (wa_diff(&t, a, strlen(a), b, strlen(b), &err) != WA_OK)
        fail_msg("%s", err.text);
    return t;
}

static void writes(const char *a, const char *b, const char *expected)
{
    wa_text t = diff(a, b);
    assert_string_equal(wa_text_string(&t), expected);
    wa_text_release(&t);
}

/* Each as `diff -u` of GNU diffutils 3.8 prints it, without its two lines of header. */
static void as_gnu_diff_writes_it(void **state)
{
    (void)state;
    writes("", "", "");
    writes("a\nb\n", "a\nb\n", "");
    writes("a\n", "b\n", "@@ -1 +1 @@\n-a\n+b\n");
    writes("", "a\nb\n", "@@ -0,0 +1,2 @@\n+a\n+b\n");
    writes("a\nb\n", "", "@@ -1,2 +0,0 @@\n-a\n-b\n");
    writes("a\nb", "a\nb\n", "@@ -1,2 +1,2 @@\n a\n-b\n\\ No newline at end of file\n+b\n");
    writes("1\n2\n3\n4\n5\n6\n7\n8\n9\n", "1\n2\n3\n4\nfive\n6\n7\n8\n9\n",
           "@@ -2,7 +2,7 @@\n 2\n 3\n 4\n-5\n+five\n 6\n 7\n 8\n");
    /* six equal lines between two changes join them, seven part them */
    writes("a\n1\n2\n3\n4\n5\n6\nb\n", "A\n1\n2\n3\n4\n5\n6\nB\n",
           "@@ -1,8 +1,8 @@\n-a\n+A\n 1\n 2\n 3\n 4\n 5\n 6\n-b\n+B\n");
    writes("a\n1\n2\n3\n4\n5\n6\n7\nb\n", "A\n1\n2\n3\n4\n5\n6\n7\nB\n",
           "@@ -1,4 +1,4 @@\n-a\n+A\n 1\n 2\n 3\n@@ -6,4 +6,4 @@\n 5\n 6\n 7\n-b\n+B\n");
}

/* Applies the diff to `a`: its context and what goes must be there. */
static wa_text apply(const char *a, const char *patch)
{
    wa_text out = WA_TEXT_INIT;
    size_t line = 1;
    while (*patch != '\0') {
        size_t from = strtoul(patch + 4, NULL, 10);
        const char *comma = patch + 4 + strcspn(patch + 4, ", ");
        bool none = *comma == ',' && comma[1] == '0';
        for (; line < from + none; line++) { /* up to the hunk: as it was */
            size_t n = strcspn(a, "\n") + 1;
            wa_text_add_bytes(&out, a, n);
            a += n;
        }
        for (patch = strchr(patch, '\n') + 1; *patch != '@' && *patch != '\0';) {
            size_t n = strcspn(patch, "\n") + 1;
            if (*patch != '+') {
                assert_memory_equal(patch + 1, a, n - 1);
                a += n - 1;
                line++;
            }
            if (*patch != '-')
                wa_text_add_bytes(&out, patch + 1, n - 1);
            patch += n;
        }
    }
    wa_text_add(&out, a);
    return out;
}

static void draw(wa_random *r, char *to, size_t lines)
{
    for (size_t i = 0; i < lines; i++) {
        *to++ = (char)('a' + wa_random_below(r, 4));
        *to++ = '\n';
    }
    *to = '\0';
}

static size_t changes(const char *patch)
{
    size_t n = 0;
    for (; *patch != '\0'; patch += strcspn(patch, "\n") + 1)
        n += *patch == '-' || *patch == '+';
    return n;
}

/* Longest common subsequence by the plain table: the shortest edit script leaves n + m - 2 of it. */
static size_t common(const char *a, const char *b)
{
    static size_t t[64][64];
    size_t n = strlen(a) / 2, m = strlen(b) / 2;
    for (size_t i = n + 1; i-- > 0;)
        for (size_t k = m + 1; k-- > 0;)
            t[i][k] = i == n || k == m            ? 0
                      : a[2 * i] == b[2 * k]      ? t[i + 1][k + 1] + 1
                      : t[i + 1][k] > t[i][k + 1] ? t[i + 1][k]
                                                  : t[i][k + 1];
    return t[0][0];
}

static void leads_from_one_to_the_other(void **state)
{
    wa_random *r = NULL;
    (void)state;
    assert_int_equal(wa_random_new(&r, 3, NULL), WA_OK);
    for (int trial = 0; trial < 2000; trial++) {
        char a[128], b[128];
        draw(r, a, wa_random_below(r, 40));
        draw(r, b, wa_random_below(r, 40));
        wa_text patch = diff(a, b), made = apply(a, wa_text_string(&patch));
        assert_string_equal(wa_text_string(&made), b);
        assert_int_equal(changes(wa_text_string(&patch)),
                         strlen(a) / 2 + strlen(b) / 2 - 2 * common(a, b));
        wa_text_release(&patch);
        wa_text_release(&made);
    }
    wa_random_free(r);
}

/* Beyond some thousand changed lines all that was goes, and all that is comes. */
static void whole_texts_where_nothing_is_left(void **state)
{
    wa_text a = WA_TEXT_INIT, b = WA_TEXT_INIT;
    (void)state;
    for (int i = 0; i < 1500; i++) {
        wa_text_printf(&a, "old %d\n", i);
        wa_text_printf(&b, "new %d\n", i);
    }
    wa_text t = diff(wa_text_string(&a), wa_text_string(&b));
    assert_int_equal(changes(wa_text_string(&t)), 3000);
    assert_memory_equal(t.at, "@@ -1,1500 +1,1500 @@\n-old 0\n", 29);
    wa_text_release(&a);
    wa_text_release(&b);
    wa_text_release(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_gnu_diff_writes_it),
        cmocka_unit_test(leads_from_one_to_the_other),
        cmocka_unit_test(whole_texts_where_nothing_is_left),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
