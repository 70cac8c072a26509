/* The page: what it must say, and what it must never hold. It also writes its pages beside the
 * program, for tests/report_pages.py, which reads them with parsers of its own. */
#include "report_case.h"

#include "report/words.h"
#include "windassay/conformity.h"

#include <ctype.h>

#define DIGEST "0f1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0"

static void render(wa_text *t, const char *name)
{
    wa_value *v = fixture(name);
    assert_int_equal(wa_report_html(t, v, DIGEST, NULL), WA_OK);
    wa_value_free(v);
}

static void write_page(const wa_text *t, const char *name)
{
    FILE *f = fopen(name, "wb");
    assert_non_null(f);
    assert_int_equal(fwrite(t->at, 1, t->length, f), t->length);
    assert_int_equal(fclose(f), 0);
}

static void says_what_a_reader_needs(void **state)
{
    (void)state;
    static const char *const must[] = {
        "<html lang=\"en\">",
        ">preliminary</p>",
        "conditional pass</span>",
        "R-0417",
        "NL-0417",
        "SHA-256 of result.json: <span class=hash>" DIGEST,
        "1.0299996", /* not rounded onto 1.03  */
        "recalled, check your copy of the standard",
        "scatter only: no budget is defined for a correlation",
        "The period was extended to 2026-04-20T00:00:00Z: bins 11.5 and 12 m/s empty",
        "used 1206 + used in records, not in bin means 14 + outside the bins 86 + excluded 5750 = "
        "grid 7056 intervals",
        "uses both compared quantities",
        "Rows of averages move by whole intervals only",
        "Done by the logger before: averaging scalar, divisor N",
        "drop &#39;window wet&#39; from los_speed",
        "@page{size:A4",
        "It is not a certificate of an accredited laboratory",
        "laser light",
        "End of report R-0417, revision 1.",
    };
    wa_text t = WA_TEXT_INIT;
    render(&t, "campaign.json");
    for (size_t i = 0; i < sizeof must / sizeof must[0]; i++)
        if (strstr(wa_text_string(&t), must[i]) == NULL)
            fail_msg("the page does not say '%s'", must[i]);
    const char *clock = strstr(wa_text_string(&t), "shift 62 s"); /* on page one */
    assert_true(clock != NULL && clock < strstr(wa_text_string(&t), "SHA-256 of result.json"));
    for (size_t i = 0; i < wa_words_n; i++) /* the glossary */
        assert_non_null(strstr(wa_text_string(&t), wa_words[i].meaning));
    assert_null(strstr(wa_text_string(&t), "per the standard"));
    assert_null(strstr(wa_text_string(&t), "nan"));
    write_page(&t, "report-campaign.html");
    wa_text_release(&t);
}

static void holds_nothing_that_acts(void **state)
{
    (void)state;
    static const char *const never[] = {"<script", "javascript:", "<img",    "<link", "<iframe",
                                        "onload",  "url(",        "@import", "src=",  "<b>"};
    static const char *const names[] = {"campaign.json", "hostile.json"};
    for (int k = 0; k < 2; k++) {
        wa_text t = WA_TEXT_INIT;
        render(&t, names[k]);
        for (size_t i = 0; i < sizeof never / sizeof never[0]; i++)
            if (strstr(wa_text_string(&t), never[i]) != NULL)
                fail_msg("%s: the page holds '%s'", names[k], never[i]);
        const char *s = wa_text_string(&t); /* the one address is the name of SVG itself */
        while ((s = strstr(s, "://")) != NULL) {
            assert_memory_equal(s - 4, "http://www.w3.org/2000/svg\"", 27);
            s += 3;
        }
        assert_true(wa_utf8_valid(t.at, t.length));
        write_page(&t, k == 0 ? "report-campaign.html" : "report-hostile.html");
        wa_text_release(&t);
    }
}

static void is_the_same_every_time(void **state)
{
    (void)state;
    wa_text a = WA_TEXT_INIT, b = WA_TEXT_INIT;
    render(&a, "campaign.json");
    render(&b, "campaign.json");
    assert_int_equal(a.length, b.length);
    assert_memory_equal(a.at, b.at, a.length);
    wa_text_release(&a);
    wa_text_release(&b);
}

static size_t times(const wa_text *t, const char *what)
{
    size_t n = 0;
    for (const char *s = wa_text_string(t); (s = strstr(s, what)) != NULL; s++)
        n++;
    return n;
}

/* A run that criteria ask for beside the check: named, only what differs, the rest folded; each
 * remark once below its table; no probability where there is no uncertainty. */
static void runs_are_told_apart(void **state)
{
    (void)state;
    static const char *const limit =
        "{\"name\":\"slope_records\",\"value\":1.01,\"unit\":\"1\",\"u\":0,\"source\":\"a count\","
        "\"criteria\":\"tight\",\"use\":\"contract\",\"limits\":{\"upper\":1},\"limit_source\":"
        "\"table 7\",\"evidence\":\"recalled\",\"rule\":\"simple\",\"outcome\":\"fail\","
        "\"probability_of_conformity\":1}";
    wa_text spec = WA_TEXT_INIT, t = WA_TEXT_INIT;
    wa_text_printf(
        &spec,
        "{\"outcome\":\"fail\",\"sentence\":\"Fail.\",\"checks\":[{\"id\":\"speed.two\",\"name\":"
        "\"speed\",\"title\":\"Speed\",\"parameters\":[{\"name\":\"hours\",\"value\":180},{"
        "\"name\":"
        "\"width\",\"value\":0.5,\"text\":\"width of a "
        "bin\"}]},{\"id\":\"speed.two:from_2\",\"name\":"
        "\"speed\",\"title\":\"Speed\",\"outcome\":\"fail\",\"requirements\":[%s,%s],"
        "\"parameters\":["
        "{\"name\":\"hours\",\"value\":180},{\"name\":\"width\",\"value\":1,\"text\":\"width of a "
        "bin\"}]}]}",
        limit, limit);
    wa_value *v = json(wa_text_string(&spec));
    assert_int_equal(wa_report_html(&t, v, NULL, NULL), WA_OK);
    static const char *const must[] = {
        "<h2>Speed, phase \u201ctwo\u201d</h2>",
        "<h2>Speed, phase \u201ctwo\u201d, run \u201cfrom_2\u201d</h2>",
        "<strong>slope_<wbr>records</strong> 1.01000, limits at most 1, fail",
        "<td class=n>1</td><td class=n>0.5</td>",
        "All other parameters are those of the check as asked for.",
        "<details><summary>Figures, tables and values of this run</summary>",
    };
    for (size_t i = 0; i < sizeof must / sizeof must[0]; i++)
        if (times(&t, must[i]) == 0)
            fail_msg("the page does not say '%s'", must[i]);
    assert_int_equal(times(&t, "<th scope=row>hours</th>"), 1); /* not in the run: it is the same */
    assert_int_equal(times(&t, "<li>table 7: recalled, check your copy of the standard</li>"), 2);
    assert_int_equal(times(&t, "<li>u: a count</li>"), 2); /* first page and section, once each */
    assert_int_equal(times(&t, "<small>P(conform)"), 0);
    assert_int_equal(times(&t, "not counted as passed.</p>"), 0); /* nothing was left open */
    wa_value_free(v);
    wa_text_release(&t);
    wa_text_release(&spec);
}

/* A figure that cannot be drawn does not take the report with it. */
static void a_broken_figure_says_so(void **state)
{
    (void)state;
    wa_text t = WA_TEXT_INIT;
    render(&t, "hostile.json");
    assert_non_null(strstr(wa_text_string(&t), "This figure cannot be drawn: a series has 1 values "
                                               "of &#39;y&#39; for 2 places."));
    wa_text_release(&t);
}

/* Any part of the record may be missing or of another kind: the page stays a page. */
static void odd_records_are_borne(void **state)
{
    (void)state;
    static const char *const odd[] = {
        "{}",
        "[]",
        "{\"checks\":7,\"campaign\":[1,2]}",
        "{\"checks\":[null,{},{\"requirements\":[1,{}],\"tables\":[{},{\"columns\":[{}],\"rows\":"
        "[[]]}],\"figures\":[3],\"values\":[{}],\"exclusions\":[{}],\"accounts\":[{}],\"notes\":"
        "[4],\"parameters\":[{\"value\":[1,{\"a\":2}]}]}],\"inputs\":[{}],\"scripts\":[{}],"
        "\"samples\":[{\"expected\":0,\"read\":1}]}",
    };
    for (size_t i = 0; i < sizeof odd / sizeof odd[0]; i++) {
        wa_value *v = json(odd[i]);
        wa_text t = WA_TEXT_INIT;
        const wa_terminal how = {.width = 80};
        assert_int_equal(wa_report_html(&t, v, NULL, NULL), WA_OK);
        assert_non_null(strstr(wa_text_string(&t), "</html>"));
        wa_text_clear(&t);
        assert_int_equal(wa_report_terminal(&t, v, &how, NULL), WA_OK);
        wa_text_release(&t);
        wa_value_free(v);
    }
}

static uint64_t next(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return *state >> 33;
}

/* Replaces one node, some levels down, by a value of another kind. */
static void mutilate(wa_value *v, uint64_t *random)
{
    for (int depth = 0; depth < 8 && wa_count(v) > 0; depth++) {
        size_t i = next(random) % wa_count(v);
        if (wa_value_kind(v) == WA_MAP && next(random) % 4 == 0) {
            wa_value *const others[] = {wa_null(),         wa_number(1e300), wa_number(-0.5),
                                        wa_string("a<b>"), wa_list(),        wa_map()};
            size_t chosen = next(random) % 6;
            char key[64];
            snprintf(key, sizeof key, "%s", wa_key(v, i));
            assert_true(wa_map_set(v, key, others[chosen]));
            for (size_t k = 0; k < 6; k++)
                if (k != chosen)
                    wa_value_free(others[k]);
            return;
        }
        v = wa_at_mutable(v, i);
    }
}

/* Records that are wrong in a few places each: no crash (watched by the sanitizers), no markup of
 * theirs, and always a whole page. */
static void mutilated_records_are_borne(void **state)
{
    (void)state;
    uint64_t random = 417;
    wa_value *whole = fixture("campaign.json");
    for (int i = 0; i < 200; i++) {
        wa_value *v = wa_value_copy(whole);
        wa_text t = WA_TEXT_INIT;
        const wa_terminal how = {.width = 100, .unicode = true};
        for (int k = 0; k < 12; k++)
            mutilate(v, &random);
        assert_int_equal(wa_report_html(&t, v, DIGEST, NULL), WA_OK);
        assert_non_null(strstr(wa_text_string(&t), "</html>"));
        assert_null(strstr(wa_text_string(&t), "<b>"));
        wa_text_clear(&t);
        assert_int_equal(wa_report_terminal(&t, v, &how, NULL), WA_OK);
        wa_text_release(&t);
        wa_value_free(v);
    }
    wa_value_free(whole);
}

/* Every outcome that the record can hold has its own entry in the glossary. */
static void every_outcome_has_its_word(void **state)
{
    (void)state;
    assert_int_equal(wa_words_n, WA_OUTCOMES);
    for (int o = 0; o < WA_OUTCOMES; o++) {
        const char *word = wa_outcome_word((wa_outcome)o);
        assert_string_equal(wa_word_of(word)->word, word);
    }
    for (int r = WA_RULE_SIMPLE; r <= WA_RULE_NON_BINARY; r++)
        assert_non_null(wa_rule_meaning(wa_rule_word((wa_rule)r)));
    assert_string_equal(wa_word_of("splendid")->word, "error");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(says_what_a_reader_needs),    cmocka_unit_test(holds_nothing_that_acts),
        cmocka_unit_test(is_the_same_every_time),      cmocka_unit_test(a_broken_figure_says_so),
        cmocka_unit_test(mutilated_records_are_borne), cmocka_unit_test(every_outcome_has_its_word),
        cmocka_unit_test(odd_records_are_borne),       cmocka_unit_test(runs_are_told_apart),
    };
    return cmocka_run_group_tests_name("report html", tests, NULL, NULL);
}
