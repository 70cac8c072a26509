/* bind_conformity.c - conformity.probability, .decide, .global_risk. For information in a check: what
 * decides it are the criteria, and the parent applies them. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/quantity.h"
#include "windassay/conformity.h"

#include <math.h>
#include <string.h>

static wa_tolerance limits_at(lua_State *L, const char *lower, const char *upper)
{
    wa_tolerance t = {0};
    t.has_lower = cell_option_number(L, 1, lower, &t.lower);
    t.has_upper = cell_option_number(L, 1, upper, &t.upper);
    return t;
}

static double needed(lua_State *L, const char *function, const char *name)
{
    double x = 0;
    if (!cell_option_number(L, 1, name, &x))
        cell_fail(L, "%s: needs '%s'", function, name);
    return x;
}

/* u: a number, or a quantity or budget, which are in the unit of the value. */
static bool uncertainty_at(lua_State *L, const char *function, double *u)
{
    cell_quantity q;
    int type = cell_option(L, 1, "u");
    if (type == LUA_TNUMBER)
        *u = cell_check_number(L, -1, "u");
    else if (type != LUA_TNIL && cell_test_quantity(L, -1, &q))
        *u = q.u;
    else if (type != LUA_TNIL)
        cell_fail(L, "%s: u: expected a number, a budget or a quantity, got %s", function,
                  cell_type_name(L, -1));
    lua_pop(L, 1);
    return type != LUA_TNIL;
}

/* conformity.probability{ value =, u =, lower =, upper = } */
static int probability(lua_State *L)
{
    static const char *const options[] = {"value", "u", "lower", "upper", NULL};
    static const char NAME[] = "conformity.probability";
    wa_error err;
    double u = 0, p = 0;
    if (!cell_options(L, 1, NAME, options))
        return cell_fail(L, "%s: takes a table", NAME);
    double value = needed(L, NAME, "value");
    wa_tolerance t = limits_at(L, "lower", "upper");
    if (!uncertainty_at(L, NAME, &u))
        return cell_fail(L, "%s: needs 'u'", NAME);
    cell_need(L, wa_conformity_probability(&p, value, u, &t, &err), &err);
    lua_pushnumber(L, p);
    return 1;
}

/* conformity.decide{ value =, u =, lower =, upper =, rule =, k = } */
static int decide(lua_State *L)
{
    static const char *const options[] = {"value", "u", "lower", "upper", "rule", "k", NULL};
    static const char NAME[] = "conformity.decide";
    wa_error err;
    wa_decision d;
    wa_rule rule = WA_RULE_SIMPLE;
    const char *word = "simple";
    double k = 2;
    if (!cell_options(L, 1, NAME, options))
        return cell_fail(L, "%s: takes a table", NAME);
    wa_measured m = {.value = needed(L, NAME, "value")};
    m.has_u = uncertainty_at(L, NAME, &m.u);
    wa_tolerance t = limits_at(L, "lower", "upper");
    cell_option_text(L, 1, "rule", &word);
    cell_option_number(L, 1, "k", &k);
    if (!wa_rule_of(&rule, word))
        return cell_fail_hint(L, "simple, guarded, non-binary", "%s: no rule '%s'", NAME, word);
    cell_need(L, wa_conformity_decide(&d, &m, &t, rule, k, &err), &err);
    cell_new_result(L, "decision", 0);
    cell_result_text(L, "outcome", wa_outcome_word(d.outcome));
    cell_result_number(L, "guard_band", d.has_guard_band ? d.guard_band : (double)NAN,
                       "the rule has none, or there is no uncertainty");
    cell_result_number(L, "probability", d.has_probability ? d.probability : (double)NAN,
                       "there is no uncertainty");
    if (d.reason != NULL)
        cell_result_text(L, "reason", d.reason);
    else
        cell_result_undefined(L, "reason", "there is nothing to say");
    return 1;
}

/* Limits of acceptance: stated, or the tolerance narrowed by a guard band (0: simple acceptance). */
static wa_tolerance acceptance_at(lua_State *L, const char *function, const wa_tolerance *tolerance)
{
    double w = 0;
    bool guarded = cell_option_number(L, 1, "guard_band", &w);
    wa_tolerance a = limits_at(L, "accept_lower", "accept_upper");
    if (!a.has_lower && !a.has_upper) {
        a = *tolerance;
        a.lower += w;
        a.upper -= w;
    } else if (guarded) {
        cell_fail(L, "%s: either a guard band, or limits of acceptance", function);
    }
    return a;
}

/* conformity.global_risk{ prior =, prior_u =, u =, lower =, upper =,
 *                         guard_band = or accept_lower =, accept_upper = } */
static int global_risk(lua_State *L)
{
    static const char *const options[] = {"prior",        "prior_u",      "u",
                                          "lower",        "upper",        "guard_band",
                                          "accept_lower", "accept_upper", NULL};
    static const char NAME[] = "conformity.global_risk";
    enum { COST = 200000 };
    wa_error err;
    wa_risks r;
    wa_process p = {0};
    if (!cell_options(L, 1, NAME, options))
        return cell_fail(L, "%s: takes a table", NAME);
    p.prior = needed(L, NAME, "prior");
    p.prior_u = needed(L, NAME, "prior_u");
    if (!uncertainty_at(L, NAME, &p.u))
        return cell_fail(L, "%s: needs 'u'", NAME);
    p.tolerance = limits_at(L, "lower", "upper");
    p.acceptance = acceptance_at(L, NAME, &p.tolerance);
    cell_charge(L, COST);
    cell_need(L, wa_conformity_global_risk(&r, &p, &err), &err);
    cell_new_result(L, "global risk", 0);
    cell_result_number(L, "consumer", r.consumer, "");
    cell_result_number(L, "producer", r.producer, "");
    cell_result_number(L, "conforming", r.conforming, "");
    cell_result_number(L, "accepted", r.accepted, "");
    cell_result_number(L, "nonconforming_of_accepted",
                       r.accepted > 0 ? r.consumer / r.accepted : (double)NAN, "none is accepted");
    return 1;
}

void cell_open_conformity(lua_State *L)
{
    static const luaL_Reg functions[] = {{"probability", probability},
                                         {"decide", decide},
                                         {"global_risk", global_risk},
                                         {NULL, NULL}};
    cell_library(L, "conformity", functions);
}
