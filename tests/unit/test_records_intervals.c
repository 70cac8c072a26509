/* Records made again from intervals.csv, samples.csv and inputs.csv: what is written from them is what
 * they were made from, byte for byte; what nobody can have written is refused where it stands. */
#include "by_hand.h"
#include "listing_text.h"

#include <math.h>
#include <sys/mman.h>

typedef struct files {
    wa_text intervals, samples, inputs;
} files;

/* Two beams at one range, a channel that both share, a direction and flags; an event. */
static void split(hand *h, char folder[64])
{
    static wa_flag flags[] = {{.bit = 0, .name = (char *)"wet"}, {.bit = 3, .name = (char *)"a,b"}};
    static wa_log_entry entry;
    static char *exclude[] = {(char *)"unit"};
    hand_folder(folder);
    hand_init(h, folder, "time", "2026-03-02T00:00:00Z", "2026-03-02T00:40:00Z");
    hand_files(h, "*.csv");
    hand_channel(h, "v", WA_CHANNEL_SCALAR, "m s-1");
    hand_channel(h, "d", WA_CHANNEL_DIRECTION, "degree");
    hand_channel(h, "pitch", WA_CHANNEL_SCALAR, "degree")->shared = true;
    wa_channel *status = hand_channel(h, "status", WA_CHANNEL_BITS, "1");
    status->flags = flags;
    status->n_flags = 2;
    h->source.beam_column = hand_text(h, "beam");
    h->source.time.duration_ns = WA_SECOND_NS;
    entry = (wa_log_entry){.from = h->campaign.from,
                           .to = h->campaign.from + 1,
                           .text = (char *)"cleaned",
                           .exclude = exclude,
                           .n_exclude = 1};
    h->campaign.logbook = &entry;
    h->campaign.n_logbook = 1;
    hand_write(folder, "a.csv",
               "time,beam,v,d,pitch,status\n"
               "2026-03-02T00:00:10Z,1,7.1,359,0.25,0\n"
               "2026-03-02T00:00:10Z,2,7.3,1,0.25,9\n"
               "2026-03-02T00:00:20Z,1,7.25,2,0.5,1\n"
               "2026-03-02T00:20:20Z,1,,350,-0.125,8\n");
}

static void write_files(files *f, const wa_records *r, const wa_campaign *c)
{
    wa_listing listing;
    *f = (files){WA_TEXT_INIT, WA_TEXT_INIT, WA_TEXT_INIT};
    assert_true(listing_text(&f->intervals, wa_records_list_intervals(&listing, r, c), &listing));
    assert_true(listing_text(&f->samples, wa_records_list_samples(&listing, r, c), &listing));
    assert_true(wa_records_write_inputs(r, c, &f->inputs));
}

static void release(files *f)
{
    wa_text_release(&f->intervals);
    wa_text_release(&f->samples);
    wa_text_release(&f->inputs);
}

static int descriptor(const char *text)
{
    int fd = memfd_create("test", MFD_CLOEXEC);
    assert_true(fd >= 0 && write(fd, text, strlen(text)) == (ssize_t)strlen(text));
    assert_int_equal(lseek(fd, 0, SEEK_SET), 0);
    return fd;
}

static wa_status read_again(wa_records **r, const wa_campaign *c, const char *intervals,
                            const char *samples, const char *inputs, wa_error *err)
{
    const wa_records_files f = {descriptor(intervals), descriptor(samples), descriptor(inputs)};
    return wa_records_read_intervals(r, c, &f, err);
}

static void the_same_again(void **state)
{
    hand h;
    char folder[64];
    files before, after;
    wa_records *r = NULL, *again = NULL;
    wa_error e = {0};
    (void)state;
    split(&h, folder);
    assert_int_equal(wa_records_read(&r, &h.campaign, 1, NULL, &e), WA_OK);
    write_files(&before, r, &h.campaign);
    if (read_again(&again, &h.campaign, wa_text_string(&before.intervals),
                   wa_text_string(&before.samples), wa_text_string(&before.inputs), &e) != WA_OK)
        fail_msg("%s:%zu: %s", e.file, e.line, e.text);
    write_files(&after, again, &h.campaign);
    assert_string_equal(wa_text_string(&after.intervals), wa_text_string(&before.intervals));
    assert_string_equal(wa_text_string(&after.samples), wa_text_string(&before.samples));
    assert_string_equal(wa_text_string(&after.inputs), wa_text_string(&before.inputs));
    assert_int_equal(again->n_events, 1);
    assert_memory_equal(again->events[0].mask, r->events[0].mask, r->n);
    assert_int_equal(again->n_series, r->n_series);
    for (size_t i = 0; i < r->n_series; i++) {
        const wa_series *a = &r->series[i], *b = &again->series[i];
        assert_string_equal(a->quantity, b->quantity);
        assert_string_equal(a->unit.text, b->unit.text);
        assert_true(a->kind == b->kind && a->has_beam == b->has_beam && a->source == b->source &&
                    !(a->beam < b->beam) && !(a->beam > b->beam));
    }
    release(&before);
    release(&after);
    wa_records_free(r);
    wa_records_free(again);
    hand_remove(folder, "a.csv");
    assert_int_equal(rmdir(folder), 0);
}

/* The text with `from` (which must be there) replaced once. */
static char *changed(const wa_text *t, const char *from, const char *to)
{
    const char *at = strstr(wa_text_string(t), from);
    char *out = NULL;
    assert_non_null(at);
    assert_true(asprintf(&out, "%.*s%s%s", (int)(at - t->at), t->at, to, at + strlen(from)) >= 0);
    return out;
}

static void what_nobody_wrote(void **state)
{
    static const struct {
        int file; /* 0: intervals, 1: samples, 2: inputs */
        const char *from, *to, *named;
        size_t line;
        const char *text;
    } spoiled[] = {
        {0, "time,", "times,", "intervals.csv", 1, "the first column must be 'time'"},
        {0, "T00:10:00Z", "T00:11:00Z", "intervals.csv", 3, "the interval of 2026-03-02T00:10:00Z"},
        {0, ".v@beam=1.mean", ".w@beam=1.mean", "intervals.csv", 1, "a column of 'mast.v@beam=1'"},
        {0, "7.175", "7..175", "intervals.csv", 2, "is no number"},
        {0, "2026-03-02T00:30:00Z", "", "intervals.csv", 5, "the interval of"},
        {1, "mast@beam=2.read", "mast@beam=x.read", "samples.csv", 1, "no samples of this name"},
        {1, "mast@beam=2.read", "mast@range=2.read", "samples.csv", 1, "no samples of this name"},
        {1, "mast@beam=2.read", "sodar@beam=2.read", "samples.csv", 1, "no samples of this name"},
        {1, "missing: v", "missing: w", "samples.csv", 1, "drops nothing like that"},
        {1, "Z,2,", "Z,-2,", "samples.csv", 2, "is no number of samples"},
        {1, "Z,2,", "Z,4294967296,", "samples.csv", 2, "is no number of samples"},
        {2, "path,", "paths,", "inputs.csv", 1, "not the columns"},
        {2, ",mast,", ",lidar,", "inputs.csv", 2, "no input of the campaign"},
    };
    hand h;
    char folder[64];
    files good;
    wa_records *r = NULL;
    (void)state;
    split(&h, folder);
    assert_int_equal(wa_records_read(&r, &h.campaign, 1, NULL, NULL), WA_OK);
    write_files(&good, r, &h.campaign);
    wa_records_free(r);
    const wa_text *texts[] = {&good.intervals, &good.samples, &good.inputs};
    for (size_t i = 0; i < sizeof spoiled / sizeof *spoiled; i++) {
        const char *give[3];
        wa_error e = {0};
        wa_records *none = NULL;
        char *bad = changed(texts[spoiled[i].file], spoiled[i].from, spoiled[i].to);
        for (int k = 0; k < 3; k++)
            give[k] = k == spoiled[i].file ? bad : wa_text_string(texts[k]);
        wa_status s = read_again(&none, &h.campaign, give[0], give[1], give[2], &e);
        if (s != WA_ERR_DATA || strcmp(e.file, spoiled[i].named) != 0 ||
            e.line != spoiled[i].line || strstr(e.text, spoiled[i].text) == NULL)
            fail_msg("%zu: %s:%zu: %s", i, e.file, e.line, e.text);
        assert_null(none);
        free(bad);
    }
    release(&good);
    hand_remove(folder, "a.csv");
    assert_int_equal(rmdir(folder), 0);
}

/* A period of ages in a small file takes no memory. */
static void too_short_for_its_campaign(void **state)
{
    hand h;
    char folder[64];
    wa_error e = {0};
    wa_records *none = NULL;
    (void)state;
    split(&h, folder);
    h.campaign.to = h.campaign.from + 4000000 * h.campaign.interval_ns;
    assert_int_equal(read_again(&none, &h.campaign, "time\n", "time\n", "path\n", &e), WA_ERR_DATA);
    assert_non_null(strstr(e.text, "too short for the 4000000 intervals"));
    hand_remove(folder, "a.csv");
    assert_int_equal(rmdir(folder), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_same_again),
                                       cmocka_unit_test(what_nobody_wrote),
                                       cmocka_unit_test(too_short_for_its_campaign)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
