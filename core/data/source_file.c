#include "data/source_file.h"

#include "data/minute.h"
#include "windassay/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- columns ---- */

static wa_status find(size_t *out, const wa_source_file *f, const char *name, const char *what,
                      const char *whose, wa_error *err)
{
    char text[160];
    *out = SIZE_MAX;
    if (name == NULL)
        return WA_OK;
    snprintf(text, sizeof text, "source '%s', %s%s%s%s", f->plan->source->name, what,
             whose != NULL ? " '" : "", whose != NULL ? whose : "", whose != NULL ? "'" : "");
    return wa_rows_column(out, f->rows, name, text, err);
}

/* A row of units must say what the campaign says: a file in km/h read as m/s is a silent wrong. */
static wa_status check_unit(const wa_source_file *f, size_t column, const wa_unit *expected,
                            wa_error *err)
{
    const char *const *units = wa_rows_units(f->rows);
    if (units == NULL || column == SIZE_MAX)
        return WA_OK;
    char text[WA_UNIT_TEXT * 2], shown[80];
    const char *from = units[column] + strspn(units[column], " \t[(");
    size_t n = strcspn(from, "])");
    while (n > 0 && (from[n - 1] == ' ' || from[n - 1] == '\t'))
        n--;
    wa_unit unit;
    wa_shown(shown, sizeof shown, from, n);
    if (n < sizeof text) {
        memcpy(text, from, n);
        text[n] = '\0';
        if (wa_unit_parse(&unit, n == 0 ? "1" : text, NULL) == WA_OK) {
            if (wa_unit_equal(&unit, expected))
                return WA_OK;
            return wa_rows_fail_name(f->rows, column, true, err,
                                     "the unit is '%s' here, '%s' in the campaign", shown,
                                     expected->text);
        }
    }
    wa_rows_fail_name(f->rows, column, true, err, "'%s' is not a unit", shown);
    return wa_hint(err, WA_ERR_DATA, "leave out units = in header if this row holds other text");
}

static wa_status find_channel(wa_source_file *f, size_t c, wa_error *err)
{
    const wa_channel *ch = f->plan->channel[c].channel;
    const char *value = f->plan->raw || ch->mean == NULL ? ch->column : ch->mean;
    const char *const names[WA_COLUMNS] = {value,     ch->sd,           ch->min,      ch->max,
                                           ch->count, ch->availability, ch->resultant};
    bool has_unit = ch->kind == WA_CHANNEL_SCALAR || ch->kind == WA_CHANNEL_DIRECTION;
    for (size_t i = 0; i < WA_COLUMNS; i++) {
        f->column[c][i] = SIZE_MAX;
        if (f->plan->raw && i != WA_COLUMN_VALUE)
            continue;
        wa_status status = find(&f->column[c][i], f, names[i], "channel", ch->name, err);
        if (status == WA_OK && has_unit && i <= WA_COLUMN_MAX)
            status = check_unit(f, f->column[c][i], &ch->unit_in_file, err);
        if (status != WA_OK)
            return status;
    }
    size_t availability = f->column[c][WA_COLUMN_AVAILABILITY];
    const char *const *units = wa_rows_units(f->rows);
    f->percent[c] =
        availability != SIZE_MAX && units != NULL && strchr(units[availability], '%') != NULL;
    if (f->column[c][WA_COLUMN_VALUE] == SIZE_MAX)
        return wa_fail(err, WA_ERR_DATA, "source '%s', channel '%s' names no column",
                       f->plan->source->name, ch->name);
    return WA_OK;
}

static wa_status find_columns(wa_source_file *f, wa_error *err)
{
    const wa_source *s = f->plan->source;
    wa_status status = WA_OK;
    for (size_t i = 0; i < s->time.n_columns && status == WA_OK; i++)
        status = find(&f->time_column[i], f, s->time.columns[i], "time", NULL, err);
    if (status == WA_OK)
        status = find(&f->beam_column, f, s->beam_column, "beam", NULL, err);
    if (status == WA_OK)
        status = find(&f->range_column, f, s->range_column, "range", NULL, err);
    for (size_t c = 0; c < s->n_channels && status == WA_OK; c++)
        status = find_channel(f, c, err);
    return status;
}

wa_status wa_source_file_open(wa_source_file *out, const wa_plan *plan, int fd, const char *path,
                              bool head, wa_error *err)
{
    *out = (wa_source_file){.plan = plan, .first = INT64_MIN, .last = INT64_MIN};
    const wa_layout *layout = &plan->source->layout;
    wa_status status = head ? wa_rows_open_head(&out->rows, fd, path, layout, err)
                            : wa_rows_open(&out->rows, fd, path, layout, err);
    if (status != WA_OK)
        return status;
    if (plan->campaign->running)
        wa_rows_leave_torn(out->rows);
    wa_rows_use(out->rows, plan->level);
    size_t n = plan->source->n_channels + 1;
    out->path = strdup(path);
    out->column = calloc(n, sizeof *out->column);
    out->percent = calloc(n, sizeof *out->percent);
    if (out->path == NULL || out->column == NULL || out->percent == NULL)
        return wa_no_memory(err);
    return find_columns(out, err);
}

wa_status wa_source_file_open_part(wa_source_file *out, const wa_source_file *head, int fd,
                                   uint64_t from, uint64_t to, bool whole, wa_error *err)
{
    *out = (wa_source_file){.plan = head->plan,
                            .path = head->path,
                            .borrowed = true,
                            .time_column = {head->time_column[0], head->time_column[1]},
                            .beam_column = head->beam_column,
                            .range_column = head->range_column,
                            .column = head->column,
                            .percent = head->percent,
                            .first = INT64_MIN,
                            .last = INT64_MIN};
    wa_status status = wa_rows_open_part(&out->rows, head->rows, fd, from, to, whole, err);
    if (status != WA_OK)
        return status;
    if (head->plan->campaign->running && to == wa_rows_size(out->rows))
        wa_rows_leave_torn(out->rows);
    wa_rows_use(out->rows, head->plan->level);
    return WA_OK;
}

void wa_source_file_release(wa_source_file *f)
{
    wa_rows_close(f->rows);
    if (!f->borrowed) {
        free(f->path);
        free(f->column);
        free(f->percent);
    }
    *f = (wa_source_file){0};
}

/* ---- times ---- */

/* Where a time is wrong: its byte inside the stamp once the year is sound, else the stamp. */
static wa_status bad_time(const wa_source_file *f, const char *text, size_t n, size_t byte,
                          const wa_error *why, wa_error *err)
{
    size_t column = f->time_column[0];
    wa_rows_fail(f->rows, column, err, "%s", why->text);
    if (why->hint[0] != '\0')
        wa_hint(err, WA_ERR_DATA, "%s", why->hint);
    if (err != NULL && f->plan->source->time.n_columns == 1 && byte > 4 && byte < n &&
        memcmp(text, wa_source_field(f, column).at, n) == 0)
        err->column += byte;
    return WA_ERR_DATA;
}

static wa_status went_backward(const wa_source_file *f, int64_t by, wa_error *err)
{
    char text[WA_TIME_TEXT_SIZE];
    wa_duration_print(text, by);
    wa_rows_fail(f->rows, f->time_column[0], err, "time goes backward by %s", text);
    return wa_hint(err, WA_ERR_DATA, "the rows of a file must be in order of time");
}

/* The true start and middle of the row with a stamp. */
static int64_t place(const wa_source_file *f, int64_t stamp, int64_t *start)
{
    const wa_source *s = f->plan->source;
    int64_t lasts = f->plan->raw ? s->time.duration_ns : s->interval_ns;
    if (s->time.n_clock > 0)
        stamp = wa_time_corrected(&s->time, stamp, s->interval_ns);
    *start = wa_time_start(s->time.stamp, stamp, lasts);
    return *start + lasts / 2;
}

/* Reads "SS" or "SS.fff" at `at`: its nanoseconds, and where it ends; 0: it is neither. */
static size_t take_second(int64_t *ns, const char *text, size_t n, size_t at)
{
    if (n < at + 2)
        return 0;
    unsigned tens = (unsigned char)text[at] - (unsigned)'0';
    unsigned ones = (unsigned char)text[at + 1] - (unsigned)'0';
    if (tens > 5 || ones > 9)
        return 0;
    int64_t whole = (int64_t)(tens * 10 + ones) * WA_SECOND_NS, fraction = 0;
    at += 2;
    if (at < n && (text[at] == '.' || text[at] == ',')) {
        int64_t unit = WA_SECOND_NS;
        size_t from = ++at;
        for (; at < n && text[at] >= '0' && text[at] <= '9' && unit > 1; at++) {
            unit /= 10;
            fraction += unit * (text[at] - '0');
        }
        if (at == from || (at < n && text[at] >= '0' && text[at] <= '9'))
            return 0;
    }
    *ns = whole + fraction;
    return at;
}

/* Learns from a stamp that was parsed how to read others of its minute. Only where the zone is one
 * for ever, the second has two digits at a known place, and the hour is not the odd 24. */
static void learn_minute(wa_source_file *f, const char *text, size_t n, int64_t stamp)
{
    const wa_time_rule *rule = &f->plan->source->time;
    size_t at = 0;
    f->second_at = 0;
    f->written_length = n < sizeof f->written ? n : 0; /* longer ones are parsed each time */
    memcpy(f->written, text, f->written_length);
    f->written_stamp = stamp;
    if (f->written_length == 0 || rule->n_zone > 1)
        return;
    if (rule->format == WA_TIME_ISO8601) {
        at = n >= 19 && text[16] == ':' ? 17 : 0;
    } else if (rule->format == WA_TIME_PATTERN) {
        size_t length = strlen(rule->pattern);
        bool ends = length >= 8 && strcmp(rule->pattern + length - 8, "%H:%M:%S") == 0;
        at = ends && n >= 17 && text[n - 3] == ':' && text[n - 6] == ':' ? n - 2 : 0;
    }
    int64_t ns = 0;
    if (at < 15 || at > 24 || memcmp(text + at - 6, "24", 2) == 0)
        return;
    f->rest_at = take_second(&ns, text, n, at);
    f->second_at = f->rest_at > 0 && (rule->format == WA_TIME_ISO8601 || f->rest_at == n) ? at : 0;
    f->minute = stamp - ns;
}

static bool equal_eight(const char *a, const char *b)
{
    return memcmp(a, b, 8) == 0;
}

static bool same_minute(int64_t *t, const wa_source_file *f, const char *text, size_t n)
{
    size_t at = f->second_at;
    int64_t ns = 0;
    if (at == 0 || n < at + 2 || !equal_eight(text, f->written) ||
        !equal_eight(text + at / 2 - 4, f->written + at / 2 - 4) ||
        !equal_eight(text + at - 8, f->written + at - 8))
        return false;
    bool fraction = f->plan->source->time.format == WA_TIME_ISO8601; /* may follow */
    size_t rest = take_second(&ns, text, n, at);
    if (rest == 0 || n - rest != f->written_length - f->rest_at ||
        (n != f->written_length && !fraction))
        return false;
    for (size_t i = rest; i < n; i++)
        if (text[i] != f->written[f->rest_at + i - rest])
            return false;
    *t = f->minute + ns;
    return true;
}

/* The time of a stamp; where it is none, *byte and `why` say so. */
static wa_status time_of(int64_t *t, wa_source_file *f, const char *text, size_t n, size_t *byte,
                         wa_error *why)
{
    if (same_minute(t, f, text, n))
        return WA_OK;
    if (n > 0 && n == f->written_length && memcmp(text, f->written, n) == 0) {
        *t = f->written_stamp;
        return WA_OK;
    }
    wa_status status = wa_time_parse(t, byte, &f->plan->source->time, &f->seen, text, n, why);
    if (status == WA_OK)
        learn_minute(f, text, n, *t);
    return status;
}

/* The stamp's text: one field, or two joined by one blank. NULL where it cannot be a time. */
static const char *stamp_text(const wa_source_file *f, char *room, size_t size, size_t *n)
{
    wa_field a = wa_source_field(f, f->time_column[0]);
    *n = a.length;
    if (f->plan->source->time.n_columns < 2)
        return a.at;
    wa_field b = wa_source_field(f, f->time_column[1]);
    *n = a.length + 1 + b.length;
    if (*n >= size)
        return NULL;
    memcpy(room, a.at, a.length);
    room[a.length] = ' ';
    memcpy(room + a.length + 1, b.at, b.length);
    return room;
}

/* Makes the row that was stepped to the present one. */
static void become(wa_source_file *f, int64_t stamp, int64_t start, int64_t middle)
{
    f->stamp = stamp;
    f->start = start;
    f->middle = middle;
    if (f->rows_read++ == 0)
        f->first = stamp;
    f->last = stamp;
}

wa_status wa_source_file_next(wa_source_file *f, wa_error *err)
{
    wa_status status = wa_rows_step(f->rows, &f->row, &f->any, err);
    if (status != WA_OK || !f->any)
        return status;
    char room[80];
    size_t n, byte = 0;
    int64_t stamp, start;
    wa_error why; /* of some KB: nobody clears it for each row */
    const char *text = stamp_text(f, room, sizeof room, &n);
    if (text == NULL)
        return wa_rows_fail(f->rows, f->time_column[0], err, "date and time are too long");
    if (time_of(&stamp, f, text, n, &byte, &why) != WA_OK)
        return bad_time(f, text, n, byte, &why, err);
    int64_t middle = place(f, stamp, &start), before = f->middle;
    if (f->rows_read > 0 && middle < before)
        return went_backward(f, before - middle, err);
    become(f, stamp, start, middle);
    return WA_OK;
}

/* The minute of the stamp that was parsed last; where others of it cannot be read by their second
 * alone, one that no stamp is in. */
static wa_minute minute_of(const wa_source_file *f)
{
    int64_t start;
    bool regular = f->second_at > 0 && f->plan->source->time.n_clock == 0;
    size_t digits = f->rest_at - f->second_at; /* 2, or with a point 4 and more */
    wa_minute m;
    wa_minute_make(&m, f->written, regular ? f->written_length : 0, f->second_at,
                   digits > 3 ? digits - 3 : 0);
    m.stamp = f->minute;
    m.middle = place(f, m.stamp, &start);
    return m;
}

/* The stamp of the next row: as wa_row_field would give it. */
static inline wa_field stamp_at(const wa_plain *p, size_t column)
{
    wa_row row;
    wa_plain_at(p, p->next, &row);
    return wa_row_field(&row, column);
}

size_t wa_source_file_run(wa_source_file *f, int64_t limit, int64_t *middles)
{
    wa_plain *p = wa_rows_plain(f->rows);
    size_t from = p->next, column = f->time_column[0], byte;
    wa_minute m = minute_of(f);
    int64_t stamp = f->stamp, middle = f->middle;
    if (f->plan->source->time.n_columns > 1)
        return 0;
    while (p->next < p->ready) {
        int64_t second, start;
        int64_t *to = middles == NULL ? NULL : middles + (p->next - from);
        if (column < p->columns - 1 && wa_minute_step(&second, &m, p, column, middle, limit, to)) {
            middle = m.middle + second;
            f->last = m.stamp + second;
            continue;
        }
        wa_field field = stamp_at(p, column);
        if (time_of(&stamp, f, field.at, field.length, &byte, NULL) != WA_OK)
            break;
        m = minute_of(f);
        int64_t here = place(f, stamp, &start);
        if (here < middle || (here == middle && middles == NULL) || here >= limit)
            break;
        if (to != NULL)
            *to = here;
        middle = here;
        f->last = stamp;
        p->next++;
    }
    if (p->next > from) {
        f->stamp = f->last;
        f->rows_read += p->next - from;
        f->middle = place(f, f->stamp, &f->start);
        wa_plain_at(p, p->next - 1, &f->row);
    }
    return p->next - from;
}
