/* What the tests of the report share: fixtures, and comparison with files kept beside them.
 *
 * WINDASSAY_RENEW=1 in the environment writes the kept files anew; look at them before you commit.
 */
#ifndef WA_TESTS_REPORT_CASE_H
#define WA_TESTS_REPORT_CASE_H

#include "windassay/json.h"
#include "windassay/report.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#define FIXTURES WA_TESTS_DIR "/fixtures/report/"

static inline void slurp(wa_text *out, const char *path)
{
    char block[4096];
    FILE *f = fopen(path, "rb");
    if (f == NULL)
        fail_msg("cannot open %s", path);
    for (size_t n; (n = fread(block, 1, sizeof block, f)) > 0;)
        wa_text_add_bytes(out, block, n);
    fclose(f);
}

static inline wa_value *fixture(const char *name)
{
    char path[512];
    snprintf(path, sizeof path, FIXTURES "%s", name);
    wa_text t = WA_TEXT_INIT;
    wa_value *v = NULL;
    wa_error err = {0};
    slurp(&t, path);
    if (wa_json_read(&v, t.at, t.length, name, &err) != WA_OK)
        fail_msg("%s:%zu: %s", name, err.line, err.text);
    wa_text_release(&t);
    return v;
}

static inline wa_value *json(const char *text)
{
    wa_value *v = NULL;
    assert_int_equal(wa_json_read(&v, text, strlen(text), "test", NULL), WA_OK);
    return v;
}

/* Exactly the bytes of the kept file. */
static inline void assert_kept(const wa_text *t, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, FIXTURES "%s", name);
    if (getenv("WINDASSAY_RENEW") != NULL) {
        FILE *f = fopen(path, "wb");
        assert_non_null(f);
        assert_int_equal(fwrite(t->at, 1, t->length, f), t->length);
        assert_int_equal(fclose(f), 0);
        return;
    }
    wa_text kept = WA_TEXT_INIT;
    slurp(&kept, path);
    size_t same = 0, line = 1;
    while (same < kept.length && same < t->length && kept.at[same] == t->at[same])
        line += kept.at[same++] == '\n';
    if (same != kept.length || same != t->length)
        fail_msg("%s differs from line %zu on: got '%.60s', kept '%.60s'", name, line,
                 wa_text_string(t) + same, wa_text_string(&kept) + same);
    wa_text_release(&kept);
}

#endif
