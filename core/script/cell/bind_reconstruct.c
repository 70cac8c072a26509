/* bind_reconstruct.c - reconstruct.wind: the wind from line-of-sight speeds of several beams. */
#include "script/cell/open.h"
#include "script/cell/operands.h"
#include "script/cell/results.h"
#include "windassay/reconstruct.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

/* Elements that a record touches, for each beam and on top. */
enum { BEAM_COST = 40, RECORD_COST = 300 };

static const char WIND[] = "reconstruct.wind";
static const char FRAMES[] = "it fixes axes and signs: frame = \"earth\" or \"nacelle\"";
static const char MODELS[] = "model = \"uvw\", \"uv\" (w taken as 0) or \"shear\"";
static const char EXAMPLE[] =
    "{ { azimuth = 15, elevation = 0 }, { azimuth = -15, elevation = 0 } }";

/* Stack: 1 beams, 2 speeds, 3 options. */
typedef struct request {
    wa_wind_setup setup;
    wa_beam *beam;
    const double **speed; /* of each beam */
    const double *tilt, *roll;
    const wa_column *like; /* the first speed: its rows, unit, side and times */
    int like_at;           /* where it lies on the stack */
} request;

/* ---- options ----------------------------------------------------------------------------------- */

/* The index of the option's word; `absent` where the option is not there (-1: it must be). */
static int one_of(lua_State *L, const char *option, const char *const *words, const char *hint,
                  int absent)
{
    const char *word = NULL;
    if (!cell_option_text(L, 3, option, &word)) {
        if (absent < 0)
            cell_fail_hint(L, hint, "%s: needs the option '%s'", WIND, option);
        return absent;
    }
    for (int i = 0; words[i] != NULL; i++)
        if (strcmp(words[i], word) == 0)
            return i;
    return cell_fail_hint(L, hint, "%s: there is no %s '%s'", WIND, option, word);
}

static void take_beam(lua_State *L, request *q, size_t i)
{
    static const char *const keys[] = {"azimuth", "zenith", "elevation", "height", "note", NULL};
    wa_beam *b = &q->beam[i];
    *b = (wa_beam){.weight = 1, .height = (double)NAN};
    double zenith = 0;
    if (lua_rawgeti(L, 1, (lua_Integer)i + 1) != LUA_TTABLE)
        cell_fail_hint(L, EXAMPLE, "%s: beam %d is not a table", WIND, (int)i + 1);
    int at = lua_gettop(L);
    cell_options(L, at, "a beam of reconstruct.wind", keys);
    bool azimuth = cell_option_number(L, at, "azimuth", &b->azimuth);
    bool above = cell_option_number(L, at, "elevation", &b->elevation);
    bool down = cell_option_number(L, at, "zenith", &zenith);
    cell_option_number(L, at, "height", &b->height);
    lua_settop(L, at - 1);
    if (!azimuth || above == down)
        cell_fail_hint(L, EXAMPLE,
                       "%s: beam %d needs its azimuth and either its elevation or its zenith angle",
                       WIND, (int)i + 1);
    if (down)
        b->elevation = 90 - zenith;
}

/* A list of one number a beam, or one number for all. */
static bool take_list(lua_State *L, request *q, const char *option, size_t offset)
{
    int type = cell_option(L, 3, option), at = lua_gettop(L);
    if (type == LUA_TNIL) {
        lua_pop(L, 1);
        return false;
    }
    if (type != LUA_TNUMBER && (type != LUA_TTABLE || lua_rawlen(L, at) != q->setup.beams))
        cell_fail(L, "%s: %s: expected a number, or a list of %d of them", WIND, option,
                  (int)q->setup.beams);
    for (size_t i = 0; i < q->setup.beams; i++) {
        if (type == LUA_TNUMBER)
            lua_pushvalue(L, at);
        else
            lua_rawgeti(L, at, (lua_Integer)i + 1);
        double x = cell_check_number(L, -1, option);
        memcpy((char *)&q->beam[i] + offset, &x, sizeof x);
        lua_pop(L, 1);
    }
    lua_pop(L, 1);
    return true;
}

/* Degrees, one value a record; leaves on the stack what holds them. */
static const double *take_angle(lua_State *L, const request *q, const char *option)
{
    wa_unit degree = wa_unit_degree();
    wa_error err;
    if (cell_option(L, 3, option) == LUA_TNIL)
        return NULL;
    wa_operand o = cell_operand(L, -1, option);
    if (o.column != NULL) {
        cell_need(L, wa_column_aligned(q->like, o.column, option, &err), &err);
        if (!wa_unit_equal(&o.column->unit, &degree) && !wa_unit_is_one(&o.column->unit))
            cell_fail_hint(L, "convert with :to(\"degree\") first", "%s: %s is in '%s'", WIND,
                           option, o.column->unit.text);
        return o.column->at;
    }
    double value = o.number;
    if (o.has_unit)
        cell_need(L, wa_unit_convert(&value, o.number, &o.unit, &degree, &err), &err);
    double *at = lua_newuserdatauv(L, (q->like->n + 1) * sizeof *at, 0);
    for (size_t i = 0; i < q->like->n; i++)
        at[i] = value;
    return at;
}

/* Speeds: columns, or numbers for one record. Leaves on the stack what holds them. */
static void take_speeds(lua_State *L, request *q)
{
    wa_error err;
    wa_unit one = wa_unit_one();
    size_t n = q->setup.beams;
    luaL_checkstack(L, (int)n + 20, "beams");
    if (lua_rawlen(L, 2) != n)
        cell_fail(L, "%s: %d speeds for %d beams", WIND, (int)lua_rawlen(L, 2), (int)n);
    for (size_t i = 0; i < n; i++) {
        int type = lua_rawgeti(L, 2, (lua_Integer)i + 1);
        if (type == LUA_TNUMBER || cell_is_missing(L, -1)) {
            double x = type == LUA_TNUMBER ? cell_check_number(L, -1, "a speed") : (double)NAN;
            lua_pop(L, 1);
            cell_new_column(L, 1, &one)->at[0] = x;
        }
        wa_column *c = cell_check_column(L, -1, "a speed of reconstruct.wind");
        if (q->like == NULL) {
            q->like = c;
            q->like_at = lua_gettop(L);
        }
        cell_need(L, wa_column_aligned(q->like, c, WIND, &err), &err);
        if (!wa_unit_equal(&q->like->unit, &c->unit))
            cell_fail(L, "%s: speed %d is in '%s', the first in '%s'", WIND, (int)i + 1,
                      c->unit.text, q->like->unit.text);
        q->speed[i] = c->at;
    }
}

static void take_request(lua_State *L, request *q)
{
    static const char *const options[] = {"frame", "weights",  "model",  "tilt", "roll",
                                          "u",     "u_common", "height", NULL};
    static const char *const frames[] = {"earth", "nacelle", NULL};
    static const char *const models[] = {"uvw", "uv", "shear", NULL};
    cell_check_table(L, 1, "reconstruct.wind: the beams");
    cell_check_table(L, 2, "reconstruct.wind: the speeds");
    cell_options(L, 3, WIND, options);
    lua_settop(L, 3);
    size_t n = lua_rawlen(L, 1);
    if (n < 1 || n > WA_BEAMS_MAX)
        cell_fail(L, "%s: %d beams; 1 to %d can be taken", WIND, (int)n, WA_BEAMS_MAX);
    q->setup.beams = n;
    q->setup.frame = (wa_wind_frame)one_of(L, "frame", frames, FRAMES, -1);
    /* A forward-looking instrument takes w as 0 unless it is told otherwise. */
    int usual = q->setup.frame == WA_WIND_NACELLE ? WA_WIND_UV : WA_WIND_UVW;
    q->setup.model = (wa_wind_model)one_of(L, "model", models, MODELS, usual);
    q->setup.beam = q->beam = lua_newuserdatauv(L, n * sizeof *q->beam, 0);
    q->speed = lua_newuserdatauv(L, n * sizeof *q->speed, 0);
    for (size_t i = 0; i < n; i++)
        take_beam(L, q, i);
    take_list(L, q, "weights", offsetof(wa_beam, weight));
    bool own = take_list(L, q, "u", offsetof(wa_beam, u));
    bool common = take_list(L, q, "u_common", offsetof(wa_beam, u_common));
    q->setup.uncertainties = own || common;
    bool at = cell_option_number(L, 3, "height", &q->setup.at);
    if (at != (q->setup.model == WA_WIND_SHEAR))
        cell_fail(L,
                  "%s: 'height' is the height of the answer of model = \"shear\", which needs it",
                  WIND);
    take_speeds(L, q);
    q->tilt = take_angle(L, q, "tilt");
    q->roll = take_angle(L, q, "roll");
}

/* ---- results ----------------------------------------------------------------------------------- */

/* A number of every record as a column; the result lies below. */
static void push_column(lua_State *L, const request *q, const wa_wind *w, size_t offset,
                        const wa_unit *unit)
{
    wa_column *c = cell_new_column(L, q->like->n, unit);
    c->side = q->like->side;
    c->time = q->like->time;
    for (size_t i = 0; i < c->n; i++)
        memcpy(&c->at[i], (const char *)&w[i] + offset, sizeof(double));
    cell_keep_times(L, q->like_at);
}

static void set_column(lua_State *L, const request *q, const wa_wind *w, const char *field,
                       size_t offset, const wa_unit *unit)
{
    push_column(L, q, w, offset, unit);
    cell_result_value(L, field);
}

static wa_unit product(lua_State *L, const wa_unit *a, const wa_unit *b)
{
    wa_unit unit;
    wa_error err;
    cell_need(L, wa_unit_multiply(&unit, a, b, &err), &err);
    return unit;
}

/* covariance.u.v and so on. With uncertainties in the unit of the speeds squared; without, that
 * of speeds of standard uncertainty 1. */
static void set_covariance(lua_State *L, const request *q, const wa_wind *w,
                           const char *const *names, size_t terms)
{
    wa_unit one = wa_unit_one(), unit[3] = {q->like->unit, q->like->unit, q->like->unit};
    if (q->setup.model == WA_WIND_SHEAR)
        unit[2] = one;
    lua_createtable(L, 0, (int)terms);
    for (size_t i = 0; i < terms; i++) {
        lua_createtable(L, 0, (int)terms);
        for (size_t j = 0; j < terms; j++) {
            wa_unit both = product(L, &unit[i], &unit[j]);
            push_column(L, q, w, offsetof(wa_wind, covariance) + (i * 3 + j) * sizeof(double),
                        &both);
            lua_setfield(L, -2, names[j]);
        }
        lua_setfield(L, -2, names[i]);
    }
    cell_result_value(L, "covariance");
}

/* reasons: a list of { reason =, records =, mask = }; `left_out` their sum; `beams` a column. */
static void set_counts(lua_State *L, const request *q, const wa_wind *w)
{
    wa_unit one = wa_unit_one();
    size_t n = q->like->n, left_out = 0, partial = 0;
    wa_column *used = cell_new_column(L, n, &one);
    used->side = q->like->side;
    used->time = q->like->time;
    for (size_t i = 0; i < n; i++) {
        used->at[i] = (double)w[i].beams;
        left_out += w[i].reason != WA_WIND_IS_THERE;
        partial += w[i].reason == WA_WIND_IS_THERE && w[i].beams < q->setup.beams;
    }
    cell_keep_times(L, q->like_at);
    cell_result_value(L, "beams");
    cell_result_whole(L, "n", n - left_out);
    cell_result_whole(L, "left_out", left_out);
    cell_result_whole(L, "with_a_beam_dropped", partial);
    lua_newtable(L);
    for (int r = WA_WIND_IS_THERE + 1; r < WA_WIND_REASONS; r++) {
        size_t records = 0;
        for (size_t i = 0; i < n; i++)
            records += (int)w[i].reason == r;
        if (records == 0)
            continue;
        lua_createtable(L, 0, 3);
        cell_set_text(L, "reason", wa_wind_reason_text((wa_wind_reason)r));
        cell_set_whole(L, "records", records);
        wa_mask *m = cell_new_mask(L, n);
        m->sides = q->like->side;
        m->time = q->like->time;
        for (size_t i = 0; i < n; i++)
            m->at[i] = (int)w[i].reason == r ? WA_TRUE : WA_FALSE;
        cell_keep_times(L, q->like_at);
        lua_setfield(L, -2, "mask");
        lua_rawseti(L, -2, (lua_Integer)lua_rawlen(L, -2) + 1);
    }
    cell_result_value(L, "reasons");
}

static void push_wind(lua_State *L, const request *q, const wa_wind *w)
{
    static const char *const names[][3] = {{"u", "v", "w"}, {"u", "v", NULL}, {"u", "v", "shear"}};
    wa_unit degree = wa_unit_degree(), one = wa_unit_one();
    const wa_unit *unit = &q->like->unit;
    wa_wind_model model = q->setup.model;
    size_t terms = model == WA_WIND_UV ? 2 : 3;
    cell_new_result(L, "wind", 0);
    for (size_t j = 0; j < terms; j++)
        set_column(L, q, w, names[model][j], offsetof(wa_wind, p) + j * sizeof(double),
                   model == WA_WIND_SHEAR && j == 2 ? &one : unit);
    if (model != WA_WIND_UVW)
        cell_result_undefined(L, "w", "the model takes it as 0; model = \"uvw\" asks for it");
    if (model != WA_WIND_SHEAR)
        cell_result_undefined(L, "shear", "model = \"shear\" asks for it");
    set_column(L, q, w, "speed", offsetof(wa_wind, speed), unit);
    set_column(L, q, w, "direction", offsetof(wa_wind, direction), &degree);
    set_column(L, q, w, "speed_u", offsetof(wa_wind, speed_u), unit);
    set_column(L, q, w, "direction_u", offsetof(wa_wind, direction_u), &degree);
    set_column(L, q, w, "condition", offsetof(wa_wind, condition), &one);
    set_column(L, q, w, "residual_sd", offsetof(wa_wind, residual_sd), unit);
    set_covariance(L, q, w, names[model], terms);
    set_counts(L, q, w);
}

/* reconstruct.wind(beams, speeds, { frame =, weights =, model =, tilt =, roll =, u =, u_common =,
 * height = }) */
static int wind(lua_State *L)
{
    request q = {.like = NULL};
    wa_error err;
    take_request(L, &q);
    size_t n = q.like->n;
    cell_charge(L, n * (RECORD_COST + BEAM_COST * q.setup.beams));
    wa_wind *w = lua_newuserdatauv(L, (n + 1) * sizeof *w, 0);
    cell_need(L, wa_reconstruct_wind(w, &q.setup, q.speed, q.tilt, q.roll, n, &err), &err);
    push_wind(L, &q, w);
    return 1;
}

/* reconstruct{ frame =, range =, ... } in the `derive` of a campaign: a description, which the core
 * carries out once the files are read. */
static int describe(lua_State *L)
{
    cell_check_table(L, 2, "reconstruct");
    lua_createtable(L, 0, 1);
    lua_pushvalue(L, 2);
    lua_setfield(L, -2, "reconstruct");
    return 1;
}

void cell_open_reconstruct(lua_State *L)
{
    static const luaL_Reg functions[] = {{"wind", wind}, {"__call", describe}, {NULL, NULL}};
    cell_library(L, "reconstruct", functions);
}
