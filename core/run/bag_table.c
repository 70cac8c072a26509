#include "run/bag_table.h"

#include "windassay/time.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *digest_of(const wa_bag *bag, const char *path)
{
    for (size_t i = 0; i < wa_bag_count(bag); i++)
        if (strcmp(wa_bag_path(bag, i), path) == 0)
            return wa_bag_sha256(bag, i);
    return NULL;
}

wa_status wa_bag_table(wa_table **out, const wa_bag *bag, const char *path, wa_error *err)
{
    int fd = -1;
    wa_table *t = NULL;
    const char *digest = digest_of(bag, path);
    if (digest == NULL)
        return wa_fail(err, WA_ERR_DATA, "the dossier has no data/%s", path);
    wa_status s = wa_bag_open_file(&fd, bag, path, err);
    if (s == WA_OK)
        s = wa_table_read(&t, fd, path, err);
    if (s == WA_OK && strcmp(t->sha256, digest) != 0)
        s = wa_fail_at(err, WA_ERR_DATA, path, 0, 0, "its bytes are not those of the manifest");
    if (s == WA_OK)
        *out = t;
    else
        wa_table_free(t);
    return s;
}

wa_status wa_bag_grid_of(wa_bag_grid *out, const wa_value *record, wa_error *err)
{
    enum { MOST = 1 << 26 };
    const wa_value *grid = wa_get(wa_get(record, "campaign"), "grid");
    const char *from = wa_get_string(grid, "from");
    double interval = 0, n = 0;
    wa_bag_grid g = {0};
    bool good = from != NULL && wa_number_of(wa_get(grid, "interval_s"), &interval) &&
                wa_number_of(wa_get(grid, "intervals"), &n) && interval > 0 && interval <= 86400 &&
                n >= 1 && n <= MOST && floor(n) == n &&
                wa_instant_parse(&g.from, from, strlen(from), NULL) == WA_OK;
    if (!good)
        return wa_fail_at(err, WA_ERR_DATA, "data/result.json", 0, 0,
                          "it does not say what the grid of intervals is");
    g.interval_ns = (int64_t)(interval * 1e9);
    g.n = (size_t)n;
    *out = g;
    return WA_OK;
}

wa_status wa_bag_grid_table(wa_table **out, const wa_bag *bag, const char *path,
                            const wa_bag_grid *grid, wa_error *err)
{
    wa_table *t = NULL;
    wa_status s = wa_bag_table(&t, bag, path, err);
    if (s != WA_OK)
        return s;
    bool good = t->n == grid->n && t->n_columns > 0 && strcmp(t->columns[0].name, "time") == 0 &&
                t->columns[0].kind == WA_TABLE_TIMES;
    for (size_t i = 0; good && i < t->n; i++) {
        int64_t start = grid->from + (int64_t)i * grid->interval_ns;
        good = t->columns[0].at[i] == (double)start / 1e9;
    }
    if (good)
        *out = t;
    else
        wa_table_free(t);
    return good ? WA_OK
                : wa_fail_at(err, WA_ERR_DATA, path, 0, 0,
                             "its rows are not the intervals of the record");
}

const wa_table_column *wa_bag_column(const wa_table *t, const char *name, char *unit, size_t size)
{
    size_t n = strlen(name);
    for (size_t k = 0; k < t->n_columns; k++) {
        const char *head = t->columns[k].name;
        size_t whole = strlen(head);
        if (strncmp(head, name, n) != 0)
            continue;
        if (head[n] == '\0') {
            snprintf(unit, size, "1");
            return &t->columns[k];
        }
        if (strncmp(head + n, " [", 2) == 0 && head[whole - 1] == ']' &&
            strchr(head + n + 2, ']') == head + whole - 1) {
            snprintf(unit, size, "%.*s", (int)(whole - n - 3), head + n + 2);
            return &t->columns[k];
        }
    }
    return NULL;
}
