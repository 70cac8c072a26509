/* Rows of a CSV file, the layout chosen by the first byte: every row has as many fields as there
 * are names, every field is a NUL-terminated text in UTF-8, rows stand on rising lines, and an
 * error about a field finds its place. */
#include "fuzz.h"

#include "data/rows.h"

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

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
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
    return 0;
}
