/* reference.h - reads published data and expected values from tests/reference.
 *
 * Data are CSV with one header row; expected values are JSON in which a number stands as
 * { "double": "...", "digits40": "..." }, as text, or as a number. Every failure to find what a
 * test asks for ends the test. */
#ifndef TESTS_REFERENCE_H
#define TESTS_REFERENCE_H

#include "windassay/json.h"
#include "windassay/value.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* |found - right| <= relative |right|; prints both when it is not so. NaN is never close. */
static inline bool close_to(double found, double right, double relative)
{
    bool good = fabs(found - right) <= relative * fabs(right);
    if (!good)
        print_message("found %.17g, right is %.17g (relative %.2g)\n", found, right,
                      fabs(found / right - 1));
    return good;
}

#define assert_close(found, right, relative) assert_true(close_to(found, right, relative))

static inline char *reference_text(const char *path)
{
    char name[512];
    snprintf(name, sizeof name, "%s/reference/%s", WA_TESTS_DIR, path);
    FILE *f = fopen(name, "rb");
    if (f == NULL)
        fail_msg("cannot open %s", name);
    char *text = calloc(1, 1 << 20);
    assert_non_null(text);
    size_t n = fread(text, 1, (1 << 20) - 1, f);
    fclose(f);
    assert_true(n > 0 && n < (1 << 20) - 1);
    return text;
}

/* The column `name` of a CSV; empty fields are NaN. Sets *n; the caller frees. */
static inline double *reference_column(const char *path, const char *name, size_t *n)
{
    char *text = reference_text(path), *line_end = NULL;
    int at = -1, column = 0;
    char *line = strtok_r(text, "\r\n", &line_end);
    for (char *field = line, *next; field != NULL; field = next, column++) {
        next = strchr(field, ',');
        if (next != NULL)
            *next++ = '\0';
        if (strcmp(field, name) == 0)
            at = column;
    }
    if (at < 0)
        fail_msg("%s has no column %s", path, name);
    double *x = calloc(20000, sizeof *x);
    assert_non_null(x);
    *n = 0;
    while ((line = strtok_r(NULL, "\r\n", &line_end)) != NULL) {
        for (int k = 0; k < at; k++)
            line = strchr(line, ',') + 1;
        char *end;
        double v = strtod(line, &end);
        assert_true(*n < 20000 && (*end == ',' || *end == '\0'));
        x[(*n)++] = end == line ? (double)NAN : v;
    }
    free(text);
    return x;
}

static inline wa_value *reference_json(const char *path)
{
    char *text = reference_text(path);
    wa_value *v = NULL;
    wa_error err = {0};
    if (wa_json_read(&v, text, strlen(text), path, &err) != WA_OK)
        fail_msg("%s: %s", path, err.text);
    free(text);
    return v;
}

/* The value at a path of keys and indices: "linear.Longley.binary.b.3". */
static inline const wa_value *reference_at(const wa_value *v, const char *path)
{
    char key[128];
    for (const char *p = path; *p != '\0';) {
        size_t length = strcspn(p, ".");
        snprintf(key, sizeof key, "%.*s", (int)length, p);
        v = wa_value_kind(v) == WA_LIST ? wa_at(v, (size_t)atoi(key)) : wa_get(v, key);
        if (v == NULL)
            fail_msg("no %s in %s", key, path);
        p += length + (p[length] == '.');
    }
    return v;
}

static inline double reference_number(const wa_value *v, const char *path)
{
    double x;
    v = reference_at(v, path);
    if (wa_value_kind(v) == WA_MAP)
        v = reference_at(v, "double");
    if (wa_number_of(v, &x))
        return x;
    const char *text = wa_string_of(v);
    if (text == NULL)
        fail_msg("%s is no number", path);
    return strtod(text, NULL);
}

#endif
