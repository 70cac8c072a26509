/* Plain tables: a column is numbers, times or text as a whole, and says which. */
#include "fuzz.h"

#include "windassay/table.h"

#include <math.h>
#include <string.h>

static void look_at(const wa_table *t, const wa_table_column *c)
{
    const wa_table_column *found = NULL;
    FUZZ_HOLDS(wa_table_find(&found, t, c->name, NULL) == WA_OK && found == c);
    FUZZ_HOLDS((c->at == NULL) == (c->kind == WA_TABLE_TEXT));
    FUZZ_HOLDS((c->texts == NULL) == (c->kind != WA_TABLE_TEXT));
    for (size_t i = 0; i < t->n; i++)
        if (c->kind == WA_TABLE_TEXT)
            FUZZ_HOLDS(wa_utf8_valid(c->texts[i], strlen(c->texts[i])));
        else
            FUZZ_HOLDS(!isinf(c->at[i]));
    if (c->kind == WA_TABLE_TEXT) {
        wa_error err = {0};
        FUZZ_HOLDS(c->first_at < t->n && c->first_line >= 2);
        FUZZ_HOLDS(wa_table_not_numbers(t, c, &err) == WA_ERR_DATA);
        fuzz_error_is_clean(WA_ERR_DATA, &err);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    wa_table *t = NULL;
    wa_error err = {0};
    int fd = fuzz_fd(data, size);
    wa_status s = wa_table_read(&t, fd, "input.csv", &err);
    if (s == WA_OK) {
        FUZZ_HOLDS(t->stored == size && strlen(t->sha256) == 64);
        /* of very many columns some: finding one looks at all before it */
        for (size_t i = 0; i < t->n_columns; i += i < 100 ? 1 : t->n_columns / 50 + 1)
            look_at(t, &t->columns[i]);
        wa_table_free(t);
    } else {
        fuzz_error_is_clean(s, &err);
        FUZZ_HOLDS(t == NULL);
    }
    FUZZ_HOLDS(fuzz_fd_closed(fd));
    return 0;
}
