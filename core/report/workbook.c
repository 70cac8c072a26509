/* The tables of a record as a spreadsheet: for people who go on with them. Numbers are numbers, text
 * is text (nothing of the record is taken as a formula). The only file that knows libxlsxwriter. */
#include "windassay/report.h"

#include "report/digits.h"
#include "report/facts.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <sys/wait.h>
#include <unistd.h>
#include <xlsxwriter.h>

enum {
    NAME_MOST = 31,     /* characters of a sheet's name, ISO/IEC 29500 */
    TEXT_MOST = 32767,  /* characters of a cell                         */
    COLUMNS_MOST = 200, /* of a table in a record */
    ROWS_MOST = 1048576,
    DECIMALS_MOST = 15,
    WIDE = 60,             /* characters: wider columns are cut by the eye anyway */
    MEMORY_LEAST = 1 << 30 /* bytes; the answer of a cell has at most a quarter of it */
};

typedef struct workbook {
    lxw_workbook *book;
    lxw_format *head, *number[DECIMALS_MOST + 1];
    lxw_worksheet *sheet;
    lxw_row_t row;
    size_t width[COLUMNS_MOST];
    wa_text text; /* of the cell that is being written */
    lxw_error failed;
} workbook;

static void note(workbook *w, lxw_error e)
{
    if (w->failed == LXW_NO_ERROR)
        w->failed = e;
}

/* ---- cells ------------------------------------------------------------------------------------ */

static void widen(workbook *w, size_t column, size_t bytes)
{
    size_t wide = bytes + 2 < WIDE ? bytes + 2 : WIDE;
    if (column < COLUMNS_MOST && wide > w->width[column])
        w->width[column] = wide;
}

/* At most `most` bytes of a text, and no torn character at their end. */
static size_t whole(const char *text, size_t most)
{
    size_t n = strnlen(text, most + 1);
    if (n <= most)
        return n;
    for (n = most; n > 0 && ((unsigned char)text[n] & 0xc0) == 0x80; n--) {
    }
    return n;
}

static void put_text(workbook *w, size_t column, const char *text, lxw_format *format)
{
    if (text == NULL || *text == '\0')
        return;
    size_t n = whole(text, TEXT_MOST);
    wa_text_clear(&w->text);
    wa_text_add_shown(&w->text, text, n); /* control characters stand in no XML */
    n = whole(wa_text_string(&w->text), TEXT_MOST);
    if (wa_text_failed(&w->text)) {
        note(w, LXW_ERROR_MEMORY_MALLOC_FAILED);
        return;
    }
    w->text.at[n] = '\0';
    widen(w, column, n);
    note(w, worksheet_write_string(w->sheet, w->row, (lxw_col_t)column, w->text.at, format));
}

static void put_number(workbook *w, size_t column, double x, int decimals)
{
    int d = decimals < 0 ? 0 : decimals > DECIMALS_MOST ? DECIMALS_MOST : decimals;
    if (w->number[d] == NULL) {
        char format[DECIMALS_MOST + 3] = "0.000000000000000";
        format[d == 0 ? 1 : d + 2] = '\0';
        if ((w->number[d] = workbook_add_format(w->book)) == NULL) {
            note(w, LXW_ERROR_MEMORY_MALLOC_FAILED);
            return;
        }
        format_set_num_format(w->number[d], format);
    }
    widen(w, column, (size_t)d + 6);
    note(w, worksheet_write_number(w->sheet, w->row, (lxw_col_t)column, x, w->number[d]));
}

static void put(workbook *w, size_t column, const wa_value *v, int decimals)
{
    double x;
    if (wa_number_of(v, &x))
        put_number(w, column, x, decimals);
    else if (wa_value_kind(v) == WA_BOOL)
        put_text(w, column, wa_true(v) ? "true" : "false", NULL);
    else
        put_text(w, column, wa_string_of(v), NULL);
}

static void put_head(workbook *w, size_t column, const char *name, const char *unit)
{
    char text[512];
    bool bare = unit == NULL || *unit == '\0' || strcmp(unit, "1") == 0;
    snprintf(text, sizeof text, bare ? "%s" : "%s [%s]", name, unit);
    put_text(w, column, text, w->head);
}

/* ---- sheets ----------------------------------------------------------------------------------- */

/* "7 by bin": the number keeps names apart, for a sheet bears a short name without some signs. */
static void name_sheet(char name[NAME_MOST + 1], size_t number, const char *table)
{
    char text[2 * NAME_MOST];
    snprintf(text, sizeof text, "%zu %s", number, table);
    size_t n = whole(text, NAME_MOST);
    memcpy(name, text, n);
    name[n] = '\0';
    for (char *c = name; *c != '\0'; c++)
        if (strchr("[]:*?/\\'", *c) != NULL || (unsigned char)*c < ' ')
            *c = '_';
}

static bool begin_sheet(workbook *w, const char *name)
{
    w->sheet = workbook_add_worksheet(w->book, name);
    w->row = 0;
    memset(w->width, 0, sizeof w->width);
    if (w->sheet == NULL)
        note(w, LXW_ERROR_MEMORY_MALLOC_FAILED);
    return w->sheet != NULL;
}

static void end_sheet(workbook *w)
{
    for (size_t c = 0; c < COLUMNS_MOST; c++)
        if (w->width[c] > 0)
            note(w, worksheet_set_column(w->sheet, (lxw_col_t)c, (lxw_col_t)c, (double)w->width[c],
                                         NULL));
}

/* What it is, what came out, and to which dossier it belongs. */
static void summary_head(workbook *w, const wa_value *record, const char *digest)
{
    const char *line[][2] = {
        {"campaign", wa_get_string(wa_get(record, "campaign"), "title")},
        {"outcome", wa_get_string(record, "outcome")},
        {"", wa_get_string(record, "sentence")},
        {"SHA-256 of result.json", digest},
        {"what this is not", "a certificate of an accredited laboratory; evidence is result.json "
                             "and the CSV files, with all their digits"},
    };
    for (size_t i = 0; i < sizeof line / sizeof line[0]; i++, w->row++) {
        put_text(w, 0, line[i][0], w->head);
        put_text(w, 1, line[i][1], NULL);
    }
    w->row++;
}

/* Which sheet holds what: below the requirements of the summary. */
static void contents(workbook *w, const wa_value *checks)
{
    size_t number = 0;
    w->row += 2;
    put_head(w, 0, "check", NULL);
    put_head(w, 1, "table", NULL);
    put_head(w, 2, "sheet", NULL);
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *tables = wa_get(wa_at(checks, i), "tables");
        for (size_t k = 0; k < wa_count(tables); k++) {
            w->row++;
            put(w, 0, wa_get(wa_at(checks, i), "id"), 0);
            put(w, 1, wa_get(wa_at(tables, k), "name"), 0);
            put_number(w, 2, (double)++number, 0);
        }
    }
}

static void summary(workbook *w, const wa_value *record, const char *digest)
{
    static const char *const heads[] = {"check",
                                        "requirement",
                                        "value",
                                        "unit",
                                        "u (k = 1)",
                                        "lower",
                                        "upper",
                                        "outcome",
                                        "criteria",
                                        "use",
                                        "evidence of the limit"};
    enum { HEADS = sizeof heads / sizeof heads[0] };
    const wa_value *checks = wa_get(record, "checks");
    if (!begin_sheet(w, "summary"))
        return;
    summary_head(w, record, digest);
    for (size_t c = 0; c < HEADS; c++)
        put_head(w, c, heads[c], NULL);
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *check = wa_at(checks, i), *list = wa_get(check, "requirements");
        for (size_t k = 0; k < wa_count(list); k++) {
            const wa_value *r = wa_at(list, k), *limits = wa_get(r, "limits");
            int d = wa_digits_requirement(r);
            w->row++;
            put(w, 0, wa_get(check, "id"), 0);
            put(w, 1, wa_get(r, "name"), 0);
            put(w, 2, wa_get(r, "value"), d);
            put(w, 3, wa_get(r, "unit"), 0);
            put(w, 4, wa_get(r, "u"), d + 1);
            put(w, 5, wa_get(limits, "lower"), d);
            put(w, 6, wa_get(limits, "upper"), d);
            put(w, 7, wa_get(r, "outcome"), 0);
            put(w, 8, wa_get(r, "criteria"), 0);
            put(w, 9, wa_get(r, "use"), 0);
            put(w, 10, wa_get(r, "evidence"), 0);
        }
    }
    contents(w, checks);
    w->width[0] = w->width[1] = 36; /* the sentence may be wider than its column */
    end_sheet(w);
}

static void table_sheet(workbook *w, size_t number, const wa_value *check, const wa_value *table)
{
    enum { HEAD_ROW = 1, FIRST_ROW = 2 };
    const wa_value *columns = wa_get(table, "columns"), *rows = wa_get(table, "rows");
    const char *id = wa_get_string(check, "id"), *table_name = wa_get_string(table, "name");
    size_t n = wa_count(columns), n_rows = wa_count(rows);
    char name[NAME_MOST + 1];
    name_sheet(name, number, table_name);
    if (!begin_sheet(w, name))
        return;
    w->row = HEAD_ROW;
    for (size_t c = 0; c < n; c++) {
        const wa_value *column = wa_at(columns, c);
        put_head(w, c, wa_get_string(column, "name"), wa_get_string(column, "unit"));
    }
    for (size_t c = 0; c < n; c++) {
        int d = wa_digits_column(rows, c, wa_get_string(wa_at(columns, c), "unit"));
        for (size_t i = 0; i < n_rows && i + FIRST_ROW < ROWS_MOST; i++) {
            w->row = (lxw_row_t)(i + FIRST_ROW);
            put(w, c, wa_at(wa_at(rows, i), c), d);
        }
    }
    worksheet_freeze_panes(w->sheet, FIRST_ROW, 0);
    end_sheet(w);
    char title[512]; /* last: it may be wider than its column */
    w->row = 0;
    snprintf(title, sizeof title, "%s: %s", id, table_name);
    put_text(w, 0, title, w->head);
}

/* ---- the file ---------------------------------------------------------------------------------- */

static wa_status read_all(wa_text *out, int fd, wa_error *err)
{
    struct stat st;
    char piece[8192];
    if (fstat(fd, &st) != 0 || st.st_size == 0)
        return wa_fail(err, WA_ERR_IO, "the workbook was not written");
    for (off_t at = 0; at < st.st_size;) {
        ssize_t n = pread(fd, piece, sizeof piece, at);
        if (n <= 0)
            return wa_fail(err, WA_ERR_IO, "the workbook cannot be read: %s", strerror(errno));
        wa_text_add_bytes(out, piece, (size_t)n);
        at += n;
    }
    return wa_text_failed(out) ? wa_fail(err, WA_ERR_NOMEM, "out of memory") : WA_OK;
}

/* The library dates a file by the clock unless it is told otherwise. The campaign's dates stand in the
 * record; here stands the day from which the zip format counts. */
static void date(workbook *w)
{
    lxw_doc_properties p = {.created = 315532800}; /* 1980-01-01 */
    note(w, workbook_set_properties(w->book, &p));
}

static void fill(workbook *w, const wa_value *record, const char *digest)
{
    const wa_value *checks = wa_get(record, "checks");
    size_t number = 0;
    w->head = workbook_add_format(w->book);
    if (w->head == NULL) {
        note(w, LXW_ERROR_MEMORY_MALLOC_FAILED);
        return;
    }
    format_set_bold(w->head);
    date(w);
    summary(w, record, digest);
    for (size_t i = 0; i < wa_count(checks); i++) {
        const wa_value *tables = wa_get(wa_at(checks, i), "tables");
        for (size_t k = 0; k < wa_count(tables) && w->failed == LXW_NO_ERROR; k++)
            table_sheet(w, ++number, wa_at(checks, i), wa_at(tables, k));
    }
}

/* The library writes each part of the file by itself first. On a disk that takes longer than all the
 * rest of a short run, so it may use a folder in memory, where there is much more room than it can
 * need; else it finds a place by itself. */
static bool room_in_memory(const char *folder)
{
    struct statvfs v;
    return statvfs(folder, &v) == 0 && (uint64_t)v.f_bavail * v.f_frsize >= MEMORY_LEAST;
}

static lxw_error write_workbook(int fd, const wa_value *record, const char *digest)
{
    workbook w = {.text = WA_TEXT_INIT};
    char path[32], memory[] = "/dev/shm";
    lxw_workbook_options options = {.tmpdir = room_in_memory(memory) ? memory : NULL};
    snprintf(path, sizeof path, "/proc/self/fd/%d", fd); /* the library writes to a name only */
    if ((w.book = workbook_new_opt(path, &options)) == NULL)
        return LXW_ERROR_MEMORY_MALLOC_FAILED;
    fill(&w, record, digest);
    note(&w, workbook_close(w.book)); /* frees, also after a failure */
    wa_text_release(&w.text);
    return w.failed;
}

/* In a process of its own, which leaves nothing but the memory file: the library (1.1.4) crashes
 * where memory runs out, and talks on stderr; neither may reach a run that is nearly done. */
static wa_status write_apart(int fd, const wa_value *record, const char *digest, wa_error *err)
{
    int ended = 0;
    pid_t child = fork();
    if (child < 0)
        return wa_fail(err, WA_ERR_NOMEM, "no process for the workbook: %s", strerror(errno));
    if (child == 0) {
        int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
        if (nowhere < 0 || dup2(nowhere, STDERR_FILENO) < 0)
            _exit(LXW_MAX_ERRNO);
        _exit((int)write_workbook(fd, record, digest));
    }
    while (waitpid(child, &ended, 0) < 0)
        if (errno != EINTR)
            return wa_fail(err, WA_ERR_IO, "the workbook's process is lost: %s", strerror(errno));
    int code = WIFEXITED(ended) ? WEXITSTATUS(ended) : LXW_ERROR_MEMORY_MALLOC_FAILED;
    if (code == LXW_NO_ERROR)
        return WA_OK;
    if (code == LXW_ERROR_MEMORY_MALLOC_FAILED)
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    return wa_fail(err, WA_ERR_IO, "the workbook cannot be written: %s",
                   code < LXW_MAX_ERRNO ? lxw_strerror((lxw_error)code) : "no /dev/null");
}

wa_status wa_report_workbook(wa_text *out, const wa_value *record, const char *digest,
                             wa_error *err)
{
    int fd = memfd_create("workbook", MFD_CLOEXEC);
    if (fd < 0)
        return wa_fail(err, WA_ERR_IO, "no memory file for the workbook: %s", strerror(errno));
    wa_status s = write_apart(fd, record, digest, err);
    if (s == WA_OK)
        s = read_all(out, fd, err);
    close(fd);
    return s;
}
