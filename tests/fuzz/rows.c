/* Rows of a CSV file, the layout chosen by the first byte: every row has as many fields as there
 * are names, every field is a NUL-terminated text in UTF-8, rows stand on rising lines, and an
 * error about a field finds its place. Without the parser, at every vector level, rows, lines,
 * digests and errors are the same to the byte; all of that with quotes around its fields, too. */
#include "fuzz.h"

#include "data/rows.h"
#include "windassay/text.h"

#include <stdlib.h>
#include <string.h>

static char at_time[] = "time", latin[] = "latin-1";

static const wa_layout LAYOUTS[] = {
    {.delimiter = ',', .decimal = '.', .names_row = 1},
    {.delimiter = ';', .decimal = ',', .names_row = 1, .units_row = 2},
    {.delimiter = '\t', .decimal = '.', .names_row = 2, .units_row = 3, .first_row = 5},
    {.delimiter = ',', .decimal = '.', .names_begin_with = at_time},
    {.delimiter = ',', .decimal = '.', .names_row = 1, .encoding = latin},
    {.delimiter = ';', .decimal = '.', .names_begin_with = at_time, .encoding = latin},
    {.delimiter = ',', .decimal = '.', .names_row = 3, .first_row = 4},
};
enum { N_LAYOUTS = sizeof LAYOUTS / sizeof *LAYOUTS };

/* Of very many columns some: finding one looks at all before it. */
static size_t next(size_t i, size_t columns)
{
    return i < 100 ? i + 1 : i + columns / 50 + 1;
}

static void read_rows(wa_rows *r)
{
    size_t columns = wa_rows_columns(r), line = 0;
    uint64_t count = 0;
    const char *const *names = wa_rows_names(r);
    FUZZ_HOLDS(columns > 0);
    for (size_t i = 0; i < columns; i = next(i, columns))
        FUZZ_HOLDS(names[i][0] != '\0' && wa_rows_find(r, names[i]) == i);
    for (;;) {
        const wa_field *f = NULL;
        wa_error err = {0};
        wa_status s = wa_rows_next(r, &f, &err);
        if (s != WA_OK) {
            fuzz_error_is_clean(s, &err);
            FUZZ_HOLDS(err.line >= 1);
            return;
        }
        if (f == NULL)
            break;
        FUZZ_HOLDS(wa_rows_line(r) > line && wa_rows_count(r) == ++count);
        line = wa_rows_line(r);
        for (size_t i = 0; i < columns; i = next(i, columns)) {
            FUZZ_HOLDS(strlen(f[i].at) == f[i].length && wa_utf8_valid(f[i].at, f[i].length));
            FUZZ_HOLDS(wa_rows_fail(r, i, &err, "field %zu", i) == WA_ERR_DATA);
            FUZZ_HOLDS(err.line >= line && err.column >= 1);
        }
    }
    FUZZ_HOLDS(strlen(wa_rows_sha256(r)) == 64);
}

static void tell_error(wa_text *out, const wa_error *e)
{
    wa_text_printf(out, "%s:%zu:%zu: %s (%s)\n", e->file, e->line, e->column, e->text, e->hint);
}

/* All that is read at a level, as text; every seventh row its last field is complained about. */
static void tell_rows(wa_text *out, const uint8_t *data, size_t size, wa_vector_level level)
{
    wa_rows *r = NULL;
    wa_error err = {0};
    const char *name = (data[0] & 0x80) == 0 ? "input.csv" : "input.csv.gz";
    wa_status s = wa_rows_open(&r, fuzz_fd(data + 1, size - 1), name,
                               &LAYOUTS[(data[0] & 0x7f) % N_LAYOUTS], &err);
    bool any = s == WA_OK;
    if (any)
        wa_rows_use(r, level);
    while (any) {
        wa_row row;
        if ((s = wa_rows_step(r, &row, &any, &err)) != WA_OK || !any)
            break;
        for (size_t i = 0; i < wa_rows_columns(r); i++) {
            wa_field f = wa_row_field(&row, i);
            wa_text_add_bytes(out, f.at, f.length);
            wa_text_add_char(out, '\0');
        }
        if (wa_rows_count(r) % 7 == 0) {
            wa_text_printf(out, "%zu ", wa_rows_line(r));
            wa_rows_fail(r, wa_rows_columns(r) - 1, &err, "the last field");
            tell_error(out, &err);
        }
    }
    if (s != WA_OK)
        tell_error(out, &err);
    else
        wa_text_printf(out, "%zu %llu %s", wa_rows_line(r), (unsigned long long)wa_rows_count(r),
                       wa_rows_sha256(r));
    wa_rows_close(r);
}

static void compare_levels(const uint8_t *data, size_t size)
{
    wa_text parser = WA_TEXT_INIT;
    tell_rows(&parser, data, size, WA_VECTOR_NONE);
    for (wa_vector_level level = WA_VECTOR_PORTABLE; level <= WA_VECTOR_AVX512; level++) {
        wa_text plain = WA_TEXT_INIT;
        tell_rows(&plain, data, size, level);
        FUZZ_HOLDS(plain.length == parser.length &&
                   memcmp(wa_text_string(&plain), wa_text_string(&parser), plain.length) == 0);
        wa_text_release(&plain);
    }
    wa_text_release(&parser);
}

static void check(const uint8_t *data, size_t size)
{
    wa_rows *r = NULL;
    wa_error err = {0};
    int fd = fuzz_fd(data + 1, size - 1);
    const char *name = (data[0] & 0x80) == 0 ? "input.csv" : "input.csv.gz";
    wa_status s = wa_rows_open(&r, fd, name, &LAYOUTS[(data[0] & 0x7f) % N_LAYOUTS], &err);
    if (s == WA_OK) {
        read_rows(r);
        wa_rows_close(r);
    } else {
        fuzz_error_is_clean(s, &err);
        FUZZ_HOLDS(r == NULL);
    }
    FUZZ_HOLDS(fuzz_fd_closed(fd));
    compare_levels(data, size);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    check(data, size);
    const wa_layout *layout = &LAYOUTS[(data[0] & 0x7f) % N_LAYOUTS];
    for (unsigned how = 1; how < 4 && (data[0] & 0x80) == 0; how++) {
        size_t n;
        uint8_t *quoted = fuzz_quote(&n, data + 1, size - 1, layout->delimiter, how);
        uint8_t *all = malloc(n + 1);
        FUZZ_HOLDS(all != NULL);
        all[0] = data[0];
        memcpy(all + 1, quoted, n);
        check(all, n + 1);
        free(all);
        free(quoted);
    }
    return 0;
}
