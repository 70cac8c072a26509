/* Entries and records: what a child answers is looked at, counted again and copied; a record ends
 * with the worst over its contract. */
#include "windassay/json.h"
#include "windassay/result.h"

#include <errno.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

static wa_value *json(const char *text)
{
    char copy[4096];
    wa_value *v = NULL;
    wa_error err = {0};
    snprintf(copy, sizeof copy, "%s", text);
    for (char *c = copy; *c != '\0'; c++) /* '...' reads better in C than \"...\" */
        if (*c == '\'')
            *c = '"';
    if (wa_json_read(&v, copy, strlen(copy), NULL, &err) != WA_OK)
        fail_msg("%s: %s", text, err.text);
    return v;
}

static const char *const described =
    "{'title': 'Speeds', 'practice': 'a practice', 'needs': ['unit.wind_speed'], 'parameters': ["
    "{'name': 'width', 'default': 0.5, 'unit': 'm/s', 'text': 'width of a bin', 'source': 'a "
    "clause',"
    " 'evidence': 'recalled'}, {'name': 'edges', 'default': [], 'unit': 'm/s', 'text': ''}]}";

static wa_value *begun(void)
{
    wa_value *d = json(described), *e = NULL;
    assert_int_equal(wa_result_begin(&e, "speed", "speed", d, NULL, NULL, NULL), WA_OK);
    wa_value_free(d);
    return e;
}

static void a_begun_entry_says_that_it_did_not_run(void **state)
{
    (void)state;
    wa_value *d = json(described), *set = json("{'edges': [4, 8]}"), *e = NULL;
    wa_value *confirmed = json("{'width': {'clause': 'L.2', 'edition': '2017', 'by': 'ab'}}");
    assert_int_equal(wa_result_begin(&e, "los:beam 1", "los", d, set, confirmed, NULL), WA_OK);
    assert_string_equal(wa_get_string(e, "status"), "error");
    assert_string_equal(wa_get_string(e, "id"), "los:beam 1");
    const wa_value *p = wa_get(e, "parameters");
    assert_string_equal(wa_get_string(wa_get(wa_at(p, 0), "confirmed"), "clause"), "L.2");
    assert_false(wa_true(wa_get(wa_at(p, 0), "set")));
    assert_true(wa_true(wa_get(wa_at(p, 1), "set")));
    wa_value *values = wa_result_parameters(e), *expected = json("{'width': 0.5, 'edges': [4, 8]}");
    assert_true(wa_value_equal(values, expected));
    wa_value_free(expected);
    wa_value_free(values);
    wa_value_free(confirmed);
    wa_value_free(set);
    wa_value_free(d);
    wa_value_free(e);
}

static void parameters_that_do_not_exist_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *set, *says, *hint;
    } cases[] = {
        {"{'widht': 1}", "no such parameter", "did you mean 'width'?"},
        {"{'width': 'wide'}", "it is set to a text, its default is a number",
         "write a plain number, in m/s"},
        {"{'edges': [[1]]}", "list has no place", ""},
        {"[1]", "list has no place", ""},
    };
    wa_value *d = json(described), *e = NULL;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wa_value *set = json(cases[i].set);
        wa_error err = {0};
        assert_int_equal(wa_result_begin(&e, "a", "a", d, set, NULL, &err), WA_ERR_DATA);
        if (strstr(err.text, cases[i].says) == NULL)
            fail_msg("case %zu says '%s'", i, err.text);
        assert_string_equal(err.hint, cases[i].hint);
        wa_value_free(set);
    }
    wa_value_free(d);
    d = json(
        "{'title': 'x', 'parameters': [{'name': 'a', 'default': 1}, {'name': 'a', 'default': 2}]}");
    assert_int_equal(wa_result_begin(&e, "a", "a", d, NULL, NULL, NULL), WA_ERR_SCRIPT);
    assert_null(e);
    wa_value_free(d);
}

static void a_tolerance_is_a_number_above_zero(void **state)
{
    (void)state;
    static const struct {
        const char *parameter, *says; /* NULL: it is good */
    } cases[] = {
        {"'default': 1, 'tolerance': 0.5", NULL},
        {"'default': -2, 'tolerance': '25 %'", NULL},
        {"'default': 1, 'tolerance': '0 %'", "a tolerance is above 0"},
        {"'default': 1, 'tolerance': '-50 %'", "a tolerance is above 0"},
        {"'default': 1, 'tolerance': '50%'", "a tolerance is above 0"},
        {"'default': 'x', 'tolerance': '50 %'", "only a number has a tolerance"},
        {"'default': 1, 'tolerance': 0", "a tolerance is above 0"},
        {"'default': 1, 'tolerance': -1", "a tolerance is above 0"},
        {"'default': 'x', 'tolerance': 1", "only a number has a tolerance"},
        {"'default': [1], 'tolerance': 1", "only a number has a tolerance"},
        {"'default': 1, 'tolerance': '1'", "tolerance"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        char text[200];
        snprintf(text, sizeof text, "{'title': 'x', 'parameters': [{'name': 'a', %s}]}",
                 cases[i].parameter);
        wa_value *d = json(text), *e = NULL;
        wa_error err = {0};
        wa_status status = wa_result_begin(&e, "a", "a", d, NULL, NULL, &err);
        assert_int_equal(status, cases[i].says == NULL ? WA_OK : WA_ERR_SCRIPT);
        if (cases[i].says != NULL && strstr(err.text, cases[i].says) == NULL)
            fail_msg("case %zu says '%s'", i, err.text);
        double by = 0;
        if (status == WA_OK)
            assert_true(wa_number_of(wa_get(wa_at(wa_get(e, "parameters"), 0), "tolerance"), &by) &&
                        by == 0.5);
        wa_value_free(e);
        wa_value_free(d);
    }
}

/* An account over 6 intervals: masks as strings of digits. */
static void add_exclusion(wa_value *account, const char *reason, const char *digits,
                          const char *unknown)
{
    char mask[16];
    size_t n = strlen(digits);
    for (size_t i = 0; i < n; i++)
        mask[i] = (char)(digits[i] - '0');
    wa_value *x = wa_map();
    assert_true(wa_map_set(x, "reason", wa_string(reason)));
    assert_true(wa_map_set(x, "mask", wa_bytes(mask, n)));
    assert_true(wa_map_set(x, "unknown", wa_string(unknown)));
    assert_true(wa_map_set(x, "both_sides", wa_bool(false)));
    assert_true(wa_list_add(wa_get_mutable(account, "exclusions"), x));
}

static wa_value *reply(const char *text, const char *states)
{
    wa_value *r = json(text), *accounts = wa_list(), *a = wa_map();
    assert_true(wa_map_set(a, "name", wa_string("intervals")));
    assert_true(wa_map_set(a, "exclusions", wa_list()));
    add_exclusion(a, "unit missing", "110000", "exclude");
    add_exclusion(a, "icing possible", "010200", "keep");
    if (states != NULL)
        assert_true(wa_map_set(a, "states", wa_string(states)));
    assert_true(wa_list_add(accounts, a));
    assert_true(wa_map_set(r, "accounts", accounts));
    return r;
}

static const char *const answer =
    "{'values': [{'unit': '1', 'value': 1.002, 'name': 'slope', 'u': 0.001}, {'name': 'cause', "
    "'value': 'clock'}], 'tables': [{'name': 'by bin', 'columns': [{'name': 'centre', 'unit': 'm "
    "s-1'}"
    ", {'name': 'mark'}], 'rows': [[4, 'x'], [4.5, null]]}], 'figures': [{'name': 'scatter', "
    "'title': "
    "'T', 'x': {'label': 'V', 'unit': 'm s-1'}, 'y': {'label': 'S'}, 'series': [{'kind': 'points', "
    "'label': 'a', 'x': [1, 2], 'y': [3, 4]}, {'kind': 'level', 'y': 0}, {'kind': 'bars', 'x': "
    "[1], "
    "'y': [2], 'width': 1}]}], 'notes': ['seen'], 'requirements': [{'name': 'slope', 'value': "
    "1.002, "
    "'unit': '1', 'u': 0.001, 'scatter_only': 'why'}], 'printed': 'hello'}";

static double number(const wa_value *map, const char *key)
{
    double x = -1;
    if (!wa_number_of(wa_get(map, key), &x))
        fail_msg("no number '%s'", key);
    return x;
}

static void an_answer_is_copied_and_counted_again(void **state)
{
    (void)state;
    uint8_t away[6] = {0, 0, 0, 0, 0, 1};
    char reason[] = "logbook: away";
    wa_event event = {reason, away};
    wa_value *e = begun(), *r = reply(answer, "xxuurx");
    wa_accounts accounts = {0};
    wa_error err = {0};
    if (wa_result_accept(&e, &accounts, r, 6, &event, 1, &err) != WA_OK)
        fail_msg("%s", err.text);
    assert_string_equal(wa_get_string(e, "status"), "ran");
    assert_null(wa_get(e, "reason"));
    assert_string_equal(wa_key(wa_at(wa_get(e, "values"), 0), 0), "name"); /* our order */
    assert_true(wa_value_equal(wa_get(e, "tables"), wa_get(r, "tables")));
    assert_true(wa_value_equal(wa_get(e, "figures"), wa_get(r, "figures")));
    assert_true(wa_value_equal(wa_get(e, "notes"), wa_get(r, "notes")));
    assert_string_equal(wa_get_string(e, "printed"), "hello");
    const wa_value *x = wa_get(e, "exclusions"), *a = wa_at(wa_get(e, "accounts"), 0);
    assert_int_equal(wa_count(x), 3); /* the event first, then the check's own */
    assert_string_equal(wa_get_string(wa_at(x, 0), "reason"), "logbook: away");
    assert_true(wa_true(wa_get(wa_at(x, 0), "event")));
    assert_true(number(wa_at(x, 1), "intervals") == 2);
    assert_true(number(wa_at(x, 1), "only") == 1);
    assert_true(number(wa_at(x, 2), "unknown") == 1);
    assert_true(number(wa_at(x, 2), "left") == 3);
    assert_true(number(a, "grid") == 6);
    assert_true(number(a, "used") == 2);
    assert_true(number(a, "records_only") == 1);
    assert_true(number(a, "excluded") == 3);
    assert_int_equal(accounts.n, 1);
    assert_int_equal(accounts.at[0]->used, 2);
    wa_accounts_release(&accounts);
    wa_value_free(r);
    wa_value_free(e);
}

/* Table G.2 of JCGM 100:2008: t95 of 16 degrees of freedom is 2.12; the parent works it out. */
static void degrees_of_freedom_bring_their_factor(void **state)
{
    (void)state;
    wa_value *e = begun();
    wa_value *r = json("{'requirements': [{'name': 'a', 'value': 1, 'unit': '1', 'u': 0.1, "
                       "'source': 'uncertainty budget', 'dof': 16.7}]}");
    wa_accounts accounts = {0};
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
    const wa_value *row = wa_at(wa_get(e, "requirements"), 0);
    assert_true(number(row, "dof") == 16.7);
    assert_true(fabs(number(row, "k_95") - 2.12) < 0.005);
    wa_accounts_release(&accounts);
    wa_value_free(r);
    wa_value_free(e);
}

static void an_empty_unit_is_none(void **state)
{
    (void)state;
    wa_value *e = begun();
    wa_value *r =
        json("{'tables': [{'rows': [], 'columns': [{'unit': '', 'name': 'mark'}], 'name': 't'}]}");
    wa_value *expected = json("[{'name': 't', 'columns': [{'name': 'mark'}], 'rows': []}]");
    wa_accounts accounts = {0};
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
    assert_true(wa_value_equal(wa_get(e, "tables"), expected));
    wa_accounts_release(&accounts);
    wa_value_free(expected);
    wa_value_free(r);
    wa_value_free(e);
}

static void an_undefined_result_is_an_outcome(void **state)
{
    (void)state;
    wa_value *e = begun(), *r = json("{'values': [], 'undefined': 'no spread'}");
    wa_accounts accounts = {0};
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
    assert_string_equal(wa_get_string(e, "status"), "inconclusive");
    assert_string_equal(wa_get_string(e, "reason"), "no spread");
    wa_accounts_release(&accounts);
    wa_value_free(r);
    r = json("{'error': {'kind': 'undefined', 'message': 'no spread', 'line': 3}}");
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
    assert_string_equal(wa_get_string(e, "status"), "inconclusive");
    assert_null(wa_get(e, "error"));
    wa_value_free(r);
    r = json("{'error': {'kind': 'script', 'message': 'bad', 'file': 'checks/a.lua', 'line': 3, "
             "'trace': 'x'}, 'printed': 'so far'}");
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
    assert_string_equal(wa_get_string(e, "status"), "error");
    assert_string_equal(wa_get_string(wa_get(e, "error"), "file"), "checks/a.lua");
    assert_null(wa_get(wa_get(e, "error"), "trace"));
    assert_string_equal(wa_get_string(e, "printed"), "so far");
    wa_value_free(r);
    r = json("{'error': {'kind': 'script', 'message': ''}}");
    assert_true(wa_map_set(wa_get_mutable(r, "error"), "message", wa_bytes("a\xff\0\n", 4)));
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
    assert_string_equal(wa_get_string(wa_get(e, "error"), "message"), "a\\xff\\x00\\x0a");
    wa_value_free(r);
    wa_value_free(e);
}

/* Each is an answer that no honest cell sends. */
static void hostile_answers_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } cases[] = {
        {"[1]", "list has no place"},
        {"{'outcome': 'pass'}", "unknown key 'outcome'"},
        {"{'values': {'a': 1}}", "map has no place"},
        {"{'values': [{'name': 'a', 'value': null}]}", "null has no place"},
        {"{'values': [{'name': 'a', 'value': 1}]}", "has a unit"},
        {"{'values': [{'name': 'a\\u001b', 'value': 'x'}]}", "control"},
        {"{'values': [{'name': '', 'value': 'x'}]}", "1 to 120 bytes"},
        {"{'values': [{'name': 'a', 'value': 'x'}, {'name': 'a', 'value': 'y'}]}", "twice"},
        {"{'values': [{'name': 'a', 'value': 1, 'unit': '1', 'u': -1}]}", "not negative"},
        {"{'tables': [{'name': 't', 'columns': [{'name': 'a'}], 'rows': [[1, 2]]}]}", "2 entries"},
        {"{'tables': [{'name': 't', 'columns': [], 'rows': []}]}", "needs columns"},
        {"{'tables': [{'name': 't', 'columns': [{'name': 'a'}], 'rows': [[true]]}]}",
         "true or false"},
        {"{'requirements': [{'name': 'a', 'value': 1, 'unit': 'm/x'}]}", "requirement 'a'"},
        {"{'requirements': [{'name': 'a', 'value': 1, 'unit': '1', 'u': 1}]}",
         "where it comes from"},
        {"{'requirements': [{'name': 'a', 'value': 1, 'unit': '1', 'outcome': 'pass'}]}",
         "unknown key 'outcome'"},
        {"{'requirements': [{'name': 'a', 'value': 1, 'unit': '1', 'k_95': 2}]}",
         "unknown key 'k_95'"},
        {"{'requirements': [{'name': 'a', 'value': 1, 'unit': '1', 'dof': 4}]}",
         "belong to an uncertainty"},
        {"{'requirements': [{'name': 'a', 'value': 1, 'unit': '1', 'u': 1, 'source': 's', 'dof': "
         "0.5}]}",
         "fewer than 1"},
        {"{'figures': [{'name': 'f', 'x': {'label': ''}, 'y': {'label': ''}, 'series': [{'kind': "
         "'points', 'x': [1], 'y': [1, 2]}]}]}",
         "'y' has 2 numbers"},
        {"{'figures': [{'name': 'f', 'x': {'label': ''}, 'y': {'label': ''}, 'series': [{'kind': "
         "'counts', 'nx': 1}]}]}",
         "a series is"},
        {"{'figures': [{'name': 'f', 'x': {'label': ''}, 'y': {'label': ''}, 'series': [{'kind': "
         "'points', 'x': [null], 'y': [1]}]}]}",
         "null has no place"},
        {"{'error': {'kind': 'script', 'message': 'm'}, 'values': []}", "unknown key 'values'"},
        {"{'error': {'message': 'm'}}", "'kind' is missing"},
        {"{'error': {'kind': 'script', 'message': 'm', 'line': 1.5}}", "whole number"},
        {"{'error': {'kind': 'script', 'message': 'm', 'line': -1}}", "whole number"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        wa_value *e = begun(), *before = wa_value_copy(e), *r = json(cases[i].text);
        wa_accounts accounts = {0};
        wa_error err = {0};
        assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, &err), WA_ERR_SCRIPT);
        if (strstr(err.text, cases[i].says) == NULL)
            fail_msg("case %zu says '%s', not '%s'", i, err.text, cases[i].says);
        assert_true(wa_value_equal(e, before));
        assert_null(accounts.at);
        wa_value_free(e);
        wa_value_free(before);
        wa_value_free(r);
    }
}

static void text_that_is_not_utf8_is_refused(void **state)
{
    (void)state;
    wa_value *e = begun(), *r = json("{'notes': ['x']}");
    wa_accounts accounts = {0};
    assert_true(wa_list_add(wa_get_mutable(r, "notes"), wa_bytes("\xff", 1)));
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_ERR_SCRIPT);
    wa_value_free(r);
    r = json("{'notes': ['x']}");
    assert_true(wa_list_add(wa_get_mutable(r, "notes"), wa_bytes("a\0b", 3)));
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_ERR_SCRIPT);
    wa_value_free(r);
    wa_value_free(e);
}

/* Masks and states that do not fit the grid, contradict each other, or try to undo an event. */
static void false_accounts_are_refused(void **state)
{
    (void)state;
    uint8_t away[6] = {0, 0, 1, 0, 0, 0};
    char reason[] = "unit missing"; /* the answer gives this reason another mask */
    wa_event event = {reason, away};
    const char *const states[] = {"uuuuuu", "xxuu", "xxuuuz", "xxuuuu"};
    const size_t grid[] = {6, 6, 6, 5};
    for (size_t i = 0; i < 5; i++) {
        wa_value *e = begun(), *r = reply("{}", i < 4 ? states[i] : NULL);
        wa_accounts accounts = {0};
        assert_int_equal(
            wa_result_accept(&e, &accounts, r, i < 4 ? grid[i] : 6, &event, i == 4, NULL),
            WA_ERR_SCRIPT);
        assert_null(accounts.at);
        wa_value_free(e);
        wa_value_free(r);
    }
}

static wa_value *many_points(size_t n)
{
    wa_value *r =
        json("{'figures': [{'name': 'f', 'x': {'label': ''}, 'y': {'label': ''}, 'series': "
             "[{'kind': 'points', 'label': 'records', 'x': [0], 'y': [0]}]}]}");
    wa_value *s =
        wa_at_mutable(wa_get_mutable(wa_at_mutable(wa_get_mutable(r, "figures"), 0), "series"), 0);
    for (size_t i = 1; i < n; i++) {
        assert_true(wa_list_add(wa_get_mutable(s, "x"), wa_number((double)(i % 121))));
        assert_true(wa_list_add(wa_get_mutable(s, "y"), wa_number(7)));
    }
    return r;
}

/* The counts add up to the points, the highest value lies in the last cell. */
static void many_points_become_counts(void **state)
{
    (void)state;
    for (size_t n = 5000; n <= 5001; n++) {
        wa_value *e = begun(), *r = many_points(n);
        wa_accounts accounts = {0};
        assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
        const wa_value *s = wa_at(wa_get(wa_at(wa_get(e, "figures"), 0), "series"), 0);
        if (n == 5000) {
            assert_string_equal(wa_get_string(s, "kind"), "points");
        } else {
            assert_string_equal(wa_get_string(s, "kind"), "counts");
            assert_string_equal(wa_get_string(s, "label"), "records");
            assert_true(number(s, "nx") == 120 && number(s, "dx") == 1 && number(s, "x0") == 0);
            const wa_value *count = wa_get(s, "count");
            assert_int_equal(wa_count(count), 120 * 90);
            double all = 0, x = 0;
            for (size_t i = 0; i < wa_count(count); i++, all += x)
                assert_true(wa_number_of(wa_at(count, i), &x));
            assert_true(all == 5001);
            /* 0 comes 42 times (i = 0, 121, ...), once with y = 0 and then with y = 7 */
            assert_true(wa_number_of(wa_at(count, 0), &x) && x == 1);
            assert_true(wa_number_of(wa_at(count, 89 * 120), &x) && x == 41);
            /* 119 and 120 share the last cell: 41 times each */
            assert_true(wa_number_of(wa_at(count, 90 * 120 - 1), &x) && x == 82);
        }
        wa_accounts_release(&accounts);
        wa_value_free(r);
        wa_value_free(e);
    }
}

#define HEAD "{'title': 'T', 'source': 's', 'evidence': 'recalled', 'rule': 'simple', 'limits': ["

static wa_criteria *criteria(const char *text)
{
    wa_value *v = json(text);
    wa_criteria *c = NULL;
    wa_error err = {0};
    if (wa_criteria_decode(&c, v, "house", "", &err) != WA_OK)
        fail_msg("%s", err.text);
    wa_value_free(v);
    return c;
}

static wa_value *accepted(const char *text)
{
    wa_value *e = begun(), *r = json(text);
    wa_accounts accounts = {0};
    assert_int_equal(wa_result_accept(&e, &accounts, r, 6, NULL, 0, NULL), WA_OK);
    wa_accounts_release(&accounts);
    wa_value_free(r);
    return e;
}

/* As many names as are counted here, where no check runs twice; none where there is no room. */
static void recalled_are_named(const wa_value *record, size_t n)
{
    wa_text t = WA_TEXT_INIT;
    assert_int_equal(wa_record_recalled_names(&t, record, 1000, NULL), WA_OK);
    size_t names = 0;
    for (const char *at = wa_text_string(&t); *at != '\0'; at++)
        names += *at == ',' || *at == '\n' || *at == ';';
    assert_int_equal(names, n);
    wa_text_clear(&t);
    assert_int_equal(wa_record_recalled_names(&t, record, 10, NULL), WA_OK);
    assert_string_equal(wa_text_string(&t), n == 0 ? "" : "and in 1 more check\n");
    wa_text_release(&t);
}

static void closes(const char *reply_text, bool contract, wa_outcome outcome, const char *sentence,
                   size_t recalled)
{
    wa_criteria *c =
        criteria(HEAD "{'check': 'speed', 'require': 'slope', 'lower': 0.98, 'upper': "
                      "1.02, 'unit': '1'}, {'check': 'direction', 'require': 'offset', "
                      "'upper': 5, 'unit': 'degree'}]}");
    const wa_criteria *contracts[] = {c};
    wa_deciding set = {c, contract};
    wa_value *record = wa_record_new(wa_map()), *e = accepted(reply_text);
    assert_int_equal(wa_record_decide(e, NULL, &set, 1, NULL), WA_OK);
    assert_true(wa_list_add(wa_get_mutable(record, "checks"), e));
    assert_int_equal(wa_record_close(record, contracts, contract, NULL), WA_OK);
    assert_string_equal(wa_get_string(record, "sentence"), sentence);
    assert_int_equal(wa_record_outcome(record), outcome);
    assert_int_equal(wa_count(wa_get(record, "not_tested")), contract);
    assert_int_equal(wa_record_recalled(record), recalled);
    recalled_are_named(record, recalled);
    wa_value_free(record);
    wa_criteria_free(c);
}

static void records_end_with_the_worst_of_the_contract(void **state)
{
    (void)state;
    closes("{'requirements': [{'name': 'slope', 'value': 1, 'unit': '1'}]}", true, WA_OUTCOME_PASS,
           "Pass: the contractual requirement is met. Not asked for here: 1 further limit of the "
           "contract.",
           2);
    closes(
        "{'requirements': [{'name': 'slope', 'value': 2, 'unit': '1'}]}", true, WA_OUTCOME_FAIL,
        "Fail: 1 of 1 contractual requirements are not met: 'slope' of speed. Not asked for here: "
        "1 further limit of the contract.",
        2);
    closes("{'requirements': [{'name': 'slope', 'value': 2, 'unit': '1'}]}", false,
           WA_OUTCOME_NO_DECISION, "No decision asked: no contract names limits for these checks.",
           1);
    closes(
        "{}", true, WA_OUTCOME_INCONCLUSIVE,
        "Inconclusive: 1 of 1 contractual requirements could not be decided: 'slope' of speed. Not "
        "asked for here: 1 further limit of the contract.",
        2);
    closes(
        "{'error': {'kind': 'script', 'message': 'm'}}", true, WA_OUTCOME_ERROR,
        "Error: a check broke, and 1 of 1 contractual requirements with it: 'slope' of speed. Not "
        "asked for here: 1 further limit of the contract.",
        2);
}

/* A whole record as result.json, for tests/record/validate.py: the schema is read by a program that
 * is not ours. */
static void a_whole_record_is_left_for_the_schema(void **state)
{
    (void)state;
    wa_criteria *c = criteria(
        "{'title': 'House rules', 'source': 'house manual', 'evidence': 'invented', 'rule': "
        "'non-binary', 'k': 2, 'limits': ["
        "{'check': 'speed', 'require': 'slope', 'lower': 0.98, 'upper': 1.02, 'unit': '1', 'rule': "
        "'simple', 'evidence': 'recalled'},"
        "{'check': 'speed', 'require': 'gain', 'lower': 0.98, 'upper': 1.02, 'unit': '1'},"
        "{'check': 'speed', 'require': 'absent', 'upper': 5, 'unit': 's'},"
        "{'check': 'speed', 'require': 'slope', 'lower': 0.9, 'unit': '1', 'run': 'low', "
        "'parameters': {'width': 1}},"
        "{'check': 'other', 'require': 'x', 'upper': 5, 'unit': 's'}],"
        " 'confirmed': {'speed.slope': {'clause': '4.2', 'edition': '2026', 'by': 'ab'}}}");
    const wa_criteria *contracts[] = {c};
    wa_deciding contract = {c, true}, information = {c, false};
    wa_value *record = wa_record_new(json(
        "{'title': 'T', 'file': 'campaign.lua', 'report': {'status': 'preliminary'}, 'period': "
        "{'from': '2026-03-02T00:00:00Z', 'to': '2026-03-02T01:00:00Z', 'interval_s': 600}, "
        "'grid': {'from': '2026-03-02T00:00:00Z', 'interval_s': 600, 'intervals': 6}, 'sources': "
        "[], 'sd_divisor': 'N-1'}"));
    wa_value *e[5] = {begun(), begun(), begun(), begun(), begun()};
    wa_value *r = reply(answer, NULL), *points = many_points(6000);
    assert_true(
        wa_list_add(wa_get_mutable(r, "requirements"),
                    json("{'name': 'gain', 'value': 1.01, 'unit': '1', 'u': 0.004, 'source': "
                         "'budget'}")));
    wa_accounts accounts = {0};
    wa_error why = {.code = WA_ERR_LIMIT, .text = "the script ran too long"};
    assert_int_equal(wa_result_accept(&e[0], &accounts, r, 6, NULL, 0, NULL), WA_OK);
    wa_accounts_release(&accounts);
    assert_int_equal(wa_result_accept(&e[1], &accounts, points, 6, NULL, 0, NULL), WA_OK);
    wa_accounts_release(&accounts);
    assert_int_equal(wa_result_not_applicable(&e[2], "no wind speed", NULL), WA_OK);
    assert_int_equal(wa_result_broke(&e[3], &why, NULL), WA_OK);
    for (size_t i = 0; i < 5; i++) {
        char id[16];
        snprintf(id, sizeof id, "speed %zu", i);
        assert_true(wa_map_set(e[i], "id", wa_string(id)));
        assert_int_equal(wa_record_decide(e[i], i == 4 ? "low" : NULL,
                                          i == 1 ? &information : &contract, 1, NULL),
                         WA_OK);
        assert_true(wa_list_add(wa_get_mutable(record, "checks"), e[i]));
    }
    assert_int_equal(wa_record_close(record, contracts, 1, NULL), WA_OK);
    assert_int_equal(wa_record_outcome(record), WA_OUTCOME_ERROR);
    wa_text t = WA_TEXT_INIT;
    assert_int_equal(wa_json_write(&t, record, WA_JSON_READABLE, NULL), WA_OK);
    assert_true(mkdir("records", 0755) == 0 || errno == EEXIST);
    assert_true(mkdir("records/test_result", 0755) == 0 || errno == EEXIST);
    FILE *f = fopen("records/test_result/result.json", "w");
    assert_non_null(f);
    assert_int_equal(fwrite(t.at, 1, t.length, f), t.length);
    assert_int_equal(fclose(f), 0);
    wa_text_release(&t);
    wa_value_free(r);
    wa_value_free(points);
    wa_value_free(record);
    wa_criteria_free(c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_begun_entry_says_that_it_did_not_run),
        cmocka_unit_test(parameters_that_do_not_exist_are_refused),
        cmocka_unit_test(a_tolerance_is_a_number_above_zero),
        cmocka_unit_test(an_answer_is_copied_and_counted_again),
        cmocka_unit_test(degrees_of_freedom_bring_their_factor),
        cmocka_unit_test(an_empty_unit_is_none),
        cmocka_unit_test(an_undefined_result_is_an_outcome),
        cmocka_unit_test(hostile_answers_are_refused),
        cmocka_unit_test(text_that_is_not_utf8_is_refused),
        cmocka_unit_test(false_accounts_are_refused),
        cmocka_unit_test(many_points_become_counts),
        cmocka_unit_test(records_end_with_the_worst_of_the_contract),
        cmocka_unit_test(a_whole_record_is_left_for_the_schema),
    };
    return cmocka_run_group_tests_name("result", tests, NULL, NULL);
}
