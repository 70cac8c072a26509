/* `prepare` on placeholders: what it leaves, in words, and each mistake at its line. */
#include "script/cell.h"
#include "windassay/formula.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static const char head[] =
    "return { sources = { lidar = { channels = {\n"
    "  los_speed = { column = \"speed\", unit = \"m/s\", positive = \"towards\" },\n"
    "  pitch     = { quantity = \"tilt\", column = \"pitch\", unit = \"rad\" },\n"
    "  volts     = { quantity = \"wind_speed\", column = \"v\", unit = \"V\", instrument = \"cup\" "
    "},\n"
    "  heading   = { quantity = \"heading_direction\", column = \"h\", unit = \"degree\" },\n"
    "  state     = { column = \"state\", kind = \"words\", names = { OK = \"ok\", E1 = \"fault\" } "
    "},\n"
    "  status    = { column = \"flags\", kind = \"bits\", names = { [0] = \"window wet\", [3] = "
    "\"warming up\" } },\n"
    "}, prepare = function(s)\n"; /* what follows is line 9 */
static const char tail[] = "\nend } } }\n";

/* Runs `prepare` with the given body; gives the cell's reply. */
static wa_value *run(const char *body)
{
    char text[4096];
    wa_limits limits = wa_limits_default(WA_CELL);
    wa_modules *modules = NULL;
    wa_error err = {0};
    wa_value *job = wa_map(), *reply = NULL;
    snprintf(text, sizeof text, "%s%s%s", head, body, tail);
    wa_map_set(job, "job", wa_string("campaign"));
    wa_map_set(job, "file", wa_string("campaign.lua"));
    wa_map_set(job, "text", wa_string(text));
    assert_int_equal(wa_modules_new(&modules, WA_TESTS_DIR, WA_TESTS_DIR, NULL, &err), WA_OK);
    if (wa_cell_run(&reply, job, -1, modules, &limits, &err) != WA_OK)
        fail_msg("%s %s", err.text, err.hint);
    wa_modules_free(modules);
    wa_value_free(job);
    return reply;
}

/* The channels as the campaign's decoder would hand them over. */
static void decode(wa_formula **f, const wa_value *prepare)
{
    static const wa_formula_flag bits[] = {{"window wet", 0}, {"warming up", 3}};
    static const wa_formula_flag words[] = {{"fault", 0}, {"ok", 0}};
    static const char *const units[] = {"degree", "m/s", "degree", "1", "1", "m/s"};
    wa_formula_channel c[] = {
        {.name = "heading", .kind = WA_FORMULA_DIRECTION},
        {.name = "los_speed"},
        {.name = "pitch"},
        {.name = "state", .kind = WA_FORMULA_WORDS, .flags = words, .n_flags = 2},
        {.name = "status", .kind = WA_FORMULA_BITS, .flags = bits, .n_flags = 2},
        {.name = "volts"}};
    wa_error err = {0};
    for (size_t i = 0; i < 6; i++)
        assert_int_equal(wa_unit_parse(&c[i].unit, units[i], NULL), WA_OK);
    if (wa_formula_decode(f, prepare, c, 6, &err) != WA_OK)
        fail_msg("%s", err.text);
}

static void describes(void **state)
{
    (void)state;
    static const struct {
        const char *body, *lines[4];
    } cases[] = {
        {"", {NULL}},
        {"s:drop('window wet', s.status:has('window wet'), { 'los_speed' })",
         {"drop \"window wet\" from los_speed where status has \"window wet\""}},
        {"s:drop('all', ~s.state:is('ok'))",
         {"drop \"all\" from heading, los_speed, pitch, state, status, volts where not (state is "
          "\"ok\")"}},
        {"local level = s.pitch - s.pitch:median()\n"
         "s:add('level', level)\n"
         "s:drop('rocking', level:abs():above(2, 'degree') | s.pitch:missing():grow(2), {'level'})",
         {"v1 = pitch - median(pitch)", "add level [degree] = v1",
          "drop \"rocking\" from level where (abs(v1) above 2 degree) or ((pitch missing) or "
          "within "
          "2 samples of it)"}},
        {"s:add('along', s.los_speed / angle.cos(s.pitch), { quantity = 'wind_speed', unit = "
         "'km/h' })",
         {"add along (wind_speed) [m s-1] = los_speed / cos(pitch)"}},
        {"s:add('turn', circular.difference(s.heading, circular.mean(s.heading)))",
         {"add turn [degree] = difference(heading, circular_mean(heading))"}},
        {"s:add('half', 0.5 * (s.volts + { 1, 'm/s' }) ^ 1)",
         {"add half [m s-1] = 0.5 * ((volts + 1 m s-1) ^ 1)"}},
        {"s:drop('north', s.heading:in_sector(350, 10) & s.los_speed:between(1, 2, 'm/s') & "
         "s.los_speed:lag(1):equals(s.los_speed))",
         {"drop \"north\" from heading, los_speed, pitch, state, status, volts where ((heading in "
          "sector 350 to 10) and (los_speed from 1 m s-1 to below 2 m s-1)) and (lag(los_speed, 1) "
          "equals los_speed)"}},
        {"s:add('calm', s.los_speed:where(s.los_speed:below(3, 'm/s')):quantile(0.9):to('knot'))",
         {"add calm [m s-1] = to(quantile(los_speed where (los_speed below 3 m s-1), 0.9), "
          "\"knot\")"}},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_formula *f = NULL;
        wa_value *reply = run(cases[i].body);
        const wa_value *error = wa_get(reply, "error");
        if (error != NULL)
            fail_msg("%s: %s", cases[i].body, wa_get_string(error, "message"));
        const wa_value *sources = wa_get(wa_get(reply, "campaign"), "sources");
        decode(&f, wa_get(wa_get(sources, "lidar"), "prepare"));
        wa_value *lines = wa_formula_lines(f);
        size_t n = 0;
        for (; n < 4 && cases[i].lines[n] != NULL; n++) {
            assert_non_null(wa_string_of(wa_at(lines, n)));
            assert_string_equal(wa_string_of(wa_at(lines, n)), cases[i].lines[n]);
        }
        assert_int_equal(wa_count(lines), n);
        wa_value_free(lines);
        wa_formula_free(f);
        wa_value_free(reply);
    }
}

static const char UNUSED[] = "'prepare' makes a value here and does not use it";
static const char LOOKS[] = "'prepare' describes samples and cannot ";

static void mistakes(void **state)
{
    (void)state;
    static const struct {
        const char *body, *message;
        int line; /* in the body, from 1 */
        const char *hint;
    } cases[] = {
        {"\nlocal x = s.los_sped", "the source has no channel 'los_sped'", 2,
         "did you mean 'los_speed'?"},
        {"s:drop('wet', s.status:has('windw wet'))", "channel 'status' has no 'windw wet'", 1,
         "did you mean 'window wet'?"},
        {"if s.status == 1 then s:drop('x', s.state:is('ok')) end", UNUSED, 1, NULL},
        {"local m = s.los_speed:below(1, 'm/s')\n\nif m then print('calm') end", UNUSED, 1, NULL},
        {"local a = s.los_speed:below(1, 'm/s') and s.state:is('ok')\ns:drop('x', a)", UNUSED, 1,
         NULL},
        {"if s.los_speed < 3 then print(1) end", LOOKS, 1, ":where(mask)"},
        {"if s.los_speed <= s.pitch then print(1) end", LOOKS, 1, "below(2, \"m/s\")"},
        {"for i = 1, #s.los_speed do print(i) end", LOOKS, 1, ":where(mask)"},
        {"\n\nprint(s.los_speed[1])", LOOKS, 3, ":where(mask)"},
        {"print(s.los_speed)", LOOKS, 1, NULL},
        {"local x = 'v' .. s.los_speed", LOOKS, 1, NULL},
        {"for i, x in ipairs(s.los_speed) do print(x) end", LOOKS, 1, NULL},
        {"s.los_speed = s.pitch", "'prepare' cannot assign to a channel", 1, "s:add("},
        {"s:add('x', s.los_speed + s.pitch)", "'m s-1' and 'degree' cannot be added", 1, NULL},
        {"s:add('x', s.los_speed + 1)", "a bare number cannot be added to a column in 'm s-1'", 1,
         "say its unit: { 0.5, \"m s-1\" }"},
        {"s:add('x', s.los_speed:below(2))",
         "a bare number cannot be compared with a column in 'm s-1'", 1, NULL},
        {"s:add('x', s.los_speed:below(2, 'm/s'))", "'x' is a mask and cannot be added", 1,
         "drop on it"},
        {"s:add('pitch', s.los_speed)", "the source has a channel 'pitch' already", 1, NULL},
        {"s:add('x', 3)", "add: expected what s.x or a formula gives, got number", 1, NULL},
        {"s:add('x', s.los_speed, { units = 'm/s' })", "unknown option 'units'", 1, "'unit'"},
        {"s:drop('x', s.los_speed)", "a drop needs a mask", 1, NULL},
        {"s:drop('x', s.state:is('ok'), { 'spedd' })", "the source has no channel 'spedd'", 1,
         NULL},
        {"s:drop('x', s.state:is('ok'), 'los_speed')", "drop: expected a table, got string", 1,
         NULL},
        {"s:add('x', s.status + 1)", "channel 'status' holds bits, not numbers", 1,
         "s.status:has(\"window wet\")"},
        {"s:add('x', s.heading:mean())", "'heading' is a direction: its mean would mix 359 and 1",
         1, "circular.mean(s.heading)"},
        {"s:add('x', s.los_speed:meen())", "a placeholder has no 'meen'", 1,
         "did you mean 'mean'?"},
        {"s.drop('x', s.state:is('ok'))", "expected the source, got string", 1, "with a colon"},
        {"s:add('x', s.los_speed + column.new({ 1 }, 'm/s'))",
         "a column cannot meet samples that are not read yet", 1, NULL},
        {"s:drop('x', s.los_speed & s.state:is('ok'))", "'and' needs a mask", 1, NULL},
        {"s:drop('x', s.state:is('ok'):grow(0.5))", "'n' is not a whole number from 0 on", 1, NULL},
        {"for i = 1, 2000 do local x = s.los_speed end", "more than 1000 operations", 1, NULL},
    };
    enum { FIRST = 8 };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        wa_value *reply = run(cases[i].body);
        const wa_value *error = wa_get(reply, "error");
        const char *message = wa_get_string(error, "message"), *hint = wa_get_string(error, "hint");
        double line = 0;
        wa_number_of(wa_get(error, "line"), &line);
        if (error == NULL || strstr(message, cases[i].message) == NULL)
            fail_msg("%s: '%s'", cases[i].body, error != NULL ? message : "no error");
        if ((int)line != FIRST + cases[i].line)
            fail_msg("%s: line %g", cases[i].body, line);
        assert_string_equal(wa_get_string(error, "file"), "campaign.lua");
        if (cases[i].hint != NULL && (hint == NULL || strstr(hint, cases[i].hint) == NULL))
            fail_msg("%s: hint '%s'", cases[i].body, hint != NULL ? hint : "");
        wa_value_free(reply);
    }
}

static void no_function(void **state)
{
    (void)state;
    char text[] = "return { sources = { lidar = { prepare = 3 } } }";
    wa_limits limits = wa_limits_default(WA_CELL);
    wa_modules *modules = NULL;
    wa_value *job = wa_map(), *reply = NULL;
    wa_map_set(job, "job", wa_string("campaign"));
    wa_map_set(job, "file", wa_string("campaign.lua"));
    wa_map_set(job, "text", wa_string(text));
    assert_int_equal(wa_modules_new(&modules, WA_TESTS_DIR, WA_TESTS_DIR, NULL, NULL), WA_OK);
    assert_int_equal(wa_cell_run(&reply, job, -1, modules, &limits, NULL), WA_OK);
    assert_string_equal(wa_get_string(wa_get(reply, "error"), "message"),
                        "sources.lidar.prepare: expected a function, got number");
    wa_value_free(reply);
    wa_value_free(job);
    wa_modules_free(modules);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(describes),
        cmocka_unit_test(mistakes),
        cmocka_unit_test(no_function),
    };
    return cmocka_run_group_tests_name("trace", tests, NULL, NULL);
}
