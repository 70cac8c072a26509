#include "windassay/reconstruct.h"

#include "base/dd.h"
#include "stats/normal.h"
#include "windassay/portable.h"

#include <stdlib.h>

enum { ROUNDS_MAX = 60 };

/* The shear exponent has settled when a round moves it by less than this: the power is known to
 * double precision only. */
static const double SETTLED = 1e-13;

/* One beam of the record at hand: unit vector in the frame's axes, and its speed. */
typedef struct ray {
    wa_dd n[3];
    double speed;
    const wa_beam *beam;
} ray;

/* What the solver of one record works on: the rays that have a speed. */
typedef struct scene {
    const wa_wind_setup *setup;
    wa_dd (*vector)[3]; /* of all beams at this attitude */
    ray *rays;
    size_t n;
} scene;

const char *wa_wind_reason_text(wa_wind_reason reason)
{
    static const char *const texts[WA_WIND_REASONS] = {
        "", "fewer beams than unknowns", "the beams left do not determine the wind",
        "tilt or roll missing", "the shear exponent does not settle"};
    return texts[reason];
}

/* ---- beams ----------------------------------------------------------------------------------- */

static void turn(wa_dd *a, wa_dd *b, double degrees)
{
    double sine, cosine;
    wa_sincos_deg(degrees, &sine, &cosine);
    wa_dd first = wa_dd_sub(wa_dd_mul_d(*a, cosine), wa_dd_mul_d(*b, sine));
    *b = wa_dd_add(wa_dd_mul_d(*a, sine), wa_dd_mul_d(*b, cosine));
    *a = first;
}

static void point(wa_dd n[3], const wa_beam *beam, wa_wind_frame frame, double tilt, double roll)
{
    double across, along, up, flat;
    wa_sincos_deg(beam->azimuth, &across, &along);
    wa_sincos_deg(beam->elevation, &up, &flat);
    wa_dd forward = wa_two_product(along, flat), left = wa_two_product(across, flat);
    wa_dd high = wa_dd_of(up);
    if (frame == WA_WIND_EARTH)
        left = wa_dd_neg(left); /* clockwise from north: east is right */
    turn(&left, &high, roll);
    turn(&forward, &high, tilt);
    n[0] = frame == WA_WIND_EARTH ? wa_dd_neg(left) : forward;
    n[1] = frame == WA_WIND_EARTH ? forward : left;
    n[2] = high;
}

static void point_all(scene *s, double tilt, double roll)
{
    for (size_t b = 0; b < s->setup->beams; b++)
        point(s->vector[b], &s->setup->beam[b], s->setup->frame, tilt, roll);
}

static size_t unknowns(wa_wind_model model)
{
    return model == WA_WIND_UV ? 2 : 3;
}

/* ---- one record ------------------------------------------------------------------------------ */

/* Design: row(b) of the unknowns at the state p; gives the model's speed. For the linear models the
 * row does not hang on p. */
static wa_dd row_of(wa_dd *row, const ray *r, const wa_wind_setup *setup, const wa_dd *p)
{
    wa_dd seen = wa_dd_of(0), power = wa_dd_of(1);
    if (setup->model == WA_WIND_SHEAR)
        power = wa_dd_of(wa_pow(r->beam->height / setup->at, p[2].hi));
    size_t linear = setup->model == WA_WIND_UVW ? 3 : 2;
    for (size_t j = 0; j < linear; j++) {
        row[j] = wa_dd_mul(power, r->n[j]);
        seen = wa_dd_add(seen, wa_dd_mul(row[j], p[j]));
    }
    if (setup->model == WA_WIND_SHEAR)
        row[2] = wa_dd_mul_d(seen, wa_log(r->beam->height / setup->at));
    return seen;
}

/* One solve: p moves by what the residuals at p hold. False where the rows do not determine it. */
static bool step(wa_dd *p, wa_dd *moved, normal *inverse, double *condition, const scene *s,
                 const wa_wind_setup *setup)
{
    normal gram = {.n = unknowns(setup->model)};
    wa_dd right[3] = {{0, 0}}, row[3];
    for (size_t i = 0; i < s->n; i++) {
        const ray *r = &s->rays[i];
        wa_dd rest = wa_dd_add_d(wa_dd_neg(row_of(row, r, setup, p)), r->speed);
        normal_add(&gram, row, r->beam->weight);
        for (size_t j = 0; j < gram.n; j++)
            right[j] = wa_dd_add(right[j], wa_dd_mul_d(wa_dd_mul(row[j], rest), r->beam->weight));
    }
    *condition = normal_condition(&gram);
    if (!(*condition <= WA_WIND_CONDITION_MOST))
        return false;
    normal_invert(inverse, &gram);
    normal_times(moved, inverse, right);
    for (size_t j = 0; j < gram.n; j++)
        p[j] = wa_dd_add(p[j], moved[j]);
    return isfinite(p[0].hi) && isfinite(p[1].hi);
}

/* The linear models in one step from zero; the shear model from the answer without shear. */
static wa_wind_reason solve(wa_dd *p, normal *inverse, double *condition, const scene *s)
{
    wa_wind_setup flat = *s->setup;
    wa_dd moved[3];
    if (flat.model == WA_WIND_SHEAR)
        flat.model = WA_WIND_UV;
    if (!step(p, moved, inverse, condition, s, &flat))
        return WA_WIND_NOT_DETERMINED;
    if (s->setup->model != WA_WIND_SHEAR)
        return WA_WIND_IS_THERE;
    p[2] = wa_dd_of(0.1);
    for (int round = 0; round < ROUNDS_MAX; round++) {
        if (!step(p, moved, inverse, condition, s, s->setup))
            return WA_WIND_NOT_DETERMINED;
        if (!(fabs(p[2].hi) < 100))
            break;
        if (fabs(moved[2].hi) <= SETTLED)
            return WA_WIND_IS_THERE;
    }
    return WA_WIND_NO_SOLUTION;
}

/* ---- what follows from the answer -------------------------------------------------------------- */

/* inverse (sum w^2 u^2 a a') inverse + g g', g = inverse sum w u_common a. */
static void propagate(normal *covariance, const scene *s, const normal *inverse, const wa_dd *p)
{
    normal inner = {.n = inverse->n}, half = {.n = inverse->n};
    wa_dd common[3] = {{0, 0}}, row[3], g[3];
    for (size_t i = 0; i < s->n; i++) {
        const ray *r = &s->rays[i];
        row_of(row, r, s->setup, p);
        for (size_t j = 0; j < inverse->n; j++) {
            wa_dd weighted = wa_dd_mul_d(row[j], r->beam->weight);
            common[j] = wa_dd_add(common[j], wa_dd_mul_d(weighted, r->beam->u_common));
            row[j] = wa_dd_mul_d(weighted, r->beam->u);
        }
        normal_add(&inner, row, 1);
    }
    normal_times(g, inverse, common);
    for (size_t j = 0; j < inverse->n; j++) /* row j of `inner` is its column j */
        normal_times(half.m[j], inverse, inner.m[j]);
    for (size_t i = 0; i < inverse->n; i++)
        for (size_t j = i; j < inverse->n; j++) {
            wa_dd sum = wa_dd_mul(g[i], g[j]);
            for (size_t k = 0; k < inverse->n; k++)
                sum = wa_dd_add(sum, wa_dd_mul(inverse->m[i][k], half.m[k][j]));
            covariance->m[i][j] = covariance->m[j][i] = sum;
        }
    covariance->n = inverse->n;
}

/* sqrt(c' C c) for the two horizontal components. */
static wa_dd spread(const normal *c, wa_dd a, wa_dd b)
{
    wa_dd sum = wa_dd_mul(wa_dd_mul(a, a), c->m[0][0]);
    sum = wa_dd_add(sum, wa_dd_mul(wa_dd_mul(b, b), c->m[1][1]));
    sum = wa_dd_add(sum, wa_dd_mul(wa_dd_mul_d(wa_dd_mul(a, b), 2), c->m[0][1]));
    return wa_dd_sqrt(sum);
}

/* Degrees of a radian, 180 / pi, to 106 bits. */
static const wa_dd DEGREES = {0x1.ca5dc1a63c1f8p+5, -0x1.1e7ab456405f9p-49};

static void take_horizontal(wa_wind *w, const wa_dd *p, const normal *c, wa_wind_frame frame)
{
    wa_dd square = wa_dd_add(wa_dd_mul(p[0], p[0]), wa_dd_mul(p[1], p[1]));
    wa_dd speed = wa_dd_sqrt(square);
    w->speed = speed.hi;
    if (frame == WA_WIND_NACELLE)
        w->direction = wa_atan2_deg(p[1].hi, p[0].hi);
    else
        w->direction = wa_atan2_deg(0 - p[0].hi, 0 - p[1].hi);
    if (frame == WA_WIND_EARTH && w->direction < 0)
        w->direction += 360;
    if (w->direction == 360)
        w->direction = 0; /* a direction just west of north may round up */
    if (!(speed.hi > 0))
        return;
    w->speed_u = spread(c, wa_dd_div(p[0], speed), wa_dd_div(p[1], speed)).hi;
    wa_dd across = spread(c, wa_dd_div(wa_dd_neg(p[1]), square), wa_dd_div(p[0], square));
    w->direction_u = wa_dd_mul(across, DEGREES).hi;
}

/* A residual below this part of its speeds is rounding: zero. */
static const double RESOLUTION = 0x1p-90;

static double residual_sd(const scene *s, const wa_dd *p, size_t terms)
{
    wa_dd sum = wa_dd_of(0), row[3];
    if (s->n <= terms)
        return (double)NAN;
    for (size_t i = 0; i < s->n; i++) {
        const ray *r = &s->rays[i];
        wa_dd rest = wa_dd_add_d(wa_dd_neg(row_of(row, r, s->setup, p)), r->speed);
        if (fabs(rest.hi) <= RESOLUTION * fabs(r->speed))
            continue;
        sum = wa_dd_add(sum, wa_dd_mul_d(wa_dd_mul(rest, rest), r->beam->weight));
    }
    return wa_dd_sqrt(wa_dd_div(sum, wa_dd_of((double)(s->n - terms)))).hi;
}

static wa_wind no_wind(wa_wind_reason reason, size_t beams)
{
    const double none = (double)NAN;
    wa_wind w = {.reason = reason,
                 .beams = beams,
                 .speed = none,
                 .direction = none,
                 .speed_u = none,
                 .direction_u = none,
                 .condition = none,
                 .residual_sd = none};
    for (size_t i = 0; i < 3; i++) {
        w.p[i] = none;
        for (size_t j = 0; j < 3; j++)
            w.covariance[i][j] = none;
    }
    return w;
}

static wa_wind solve_record(const scene *s)
{
    size_t terms = unknowns(s->setup->model);
    wa_dd p[3] = {{0, 0}};
    normal inverse, c;
    double condition;
    if (s->n < terms)
        return no_wind(WA_WIND_TOO_FEW_BEAMS, s->n);
    wa_wind_reason reason = solve(p, &inverse, &condition, s);
    if (reason != WA_WIND_IS_THERE)
        return no_wind(reason, s->n);
    c = inverse;
    if (s->setup->uncertainties)
        propagate(&c, s, &inverse, p);
    wa_wind w = no_wind(WA_WIND_IS_THERE, s->n);
    for (size_t i = 0; i < terms; i++) {
        w.p[i] = p[i].hi;
        for (size_t j = 0; j < terms; j++)
            w.covariance[i][j] = c.m[i][j].hi;
    }
    w.condition = condition;
    w.residual_sd = residual_sd(s, p, terms);
    take_horizontal(&w, p, &c, s->setup->frame);
    return w;
}

/* ---- all of them ------------------------------------------------------------------------------- */

static wa_status check_beam(const wa_wind_setup *setup, size_t i, wa_error *err)
{
    const wa_beam *b = &setup->beam[i];
    if (!isfinite(b->azimuth) || !(fabs(b->elevation) <= 90))
        return wa_fail(err, WA_ERR_ARG,
                       "beam %zu: azimuth %g and elevation %g are no direction (degrees; "
                       "elevation -90 to 90)",
                       i + 1, b->azimuth, b->elevation);
    if (!(b->weight >= 0) || isinf(b->weight))
        return wa_fail(err, WA_ERR_ARG, "beam %zu: a weight of %g", i + 1, b->weight);
    if (setup->uncertainties && (!(b->u >= 0) || isinf(b->u) || !isfinite(b->u_common)))
        return wa_fail(err, WA_ERR_ARG, "beam %zu: an uncertainty of %g, in common %g", i + 1, b->u,
                       b->u_common);
    if (setup->model == WA_WIND_SHEAR && (!(b->height > 0) || isinf(b->height)))
        return wa_fail(err, WA_ERR_ARG, "beam %zu: a height of %g m", i + 1, b->height);
    return WA_OK;
}

static wa_status check_setup(const wa_wind_setup *setup, wa_error *err)
{
    if (setup->beams < 1 || setup->beams > WA_BEAMS_MAX)
        return wa_fail(err, WA_ERR_ARG, "%zu beams; 1 to %d can be taken", setup->beams,
                       WA_BEAMS_MAX);
    if (setup->model == WA_WIND_SHEAR && (!(setup->at > 0) || isinf(setup->at)))
        return wa_fail(err, WA_ERR_ARG, "the wind is asked for at a height of %g m", setup->at);
    for (size_t i = 0; i < setup->beams; i++) {
        wa_status s = check_beam(setup, i, err);
        if (s != WA_OK)
            return s;
    }
    return WA_OK;
}

/* Do all beams together, as s->vector has them, determine the unknowns? */
static wa_status check_geometry(const scene *s, wa_error *err)
{
    const wa_wind_setup *setup = s->setup;
    normal gram = {.n = setup->model == WA_WIND_UVW ? 3 : 2};
    size_t used = 0, terms = unknowns(setup->model);
    bool heights_differ = false;
    for (size_t b = 0; b < setup->beams; b++) {
        const wa_beam *beam = &setup->beam[b];
        normal_add(&gram, s->vector[b], beam->weight);
        used += beam->weight > 0;
        heights_differ = heights_differ || beam->height != setup->beam[0].height;
    }
    if (used < terms)
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "the wind is not determined: %zu beam%s for %zu unknowns", used,
                       used == 1 ? "" : "s", terms);
    if (setup->model == WA_WIND_SHEAR && !heights_differ)
        return wa_fail(err, WA_ERR_UNDEFINED, "the shear is not determined: all beams are at %g m",
                       setup->beam[0].height);
    double condition = normal_condition(&gram);
    if (!(condition <= WA_WIND_CONDITION_MOST))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "the wind is not determined: the directions of the %zu beams leave a "
                       "component of the wind open (condition number above %g)",
                       used, WA_WIND_CONDITION_MOST);
    return WA_OK;
}

static double angle_at(const double *degrees, size_t i)
{
    return degrees == NULL ? 0 : degrees[i];
}

wa_status wa_reconstruct_wind(wa_wind *out, const wa_wind_setup *setup, const double *const *speed,
                              const double *tilt, const double *roll, size_t n, wa_error *err)
{
    wa_status status = check_setup(setup, err);
    if (status != WA_OK)
        return status;
    scene s = {.setup = setup};
    s.vector = calloc(setup->beams, sizeof *s.vector);
    s.rays = calloc(setup->beams, sizeof *s.rays);
    if (s.vector == NULL || s.rays == NULL) {
        status = wa_fail(err, WA_ERR_NOMEM, "out of memory for a wind field");
        goto out;
    }
    size_t first = 0;
    while (first < n && !isfinite(angle_at(tilt, first) + angle_at(roll, first)))
        first++;
    double p = first < n ? angle_at(tilt, first) : 0, r = first < n ? angle_at(roll, first) : 0;
    point_all(&s, p, r);
    if ((status = check_geometry(&s, err)) != WA_OK)
        goto out;
    for (size_t i = 0; i < n; i++) {
        double p_here = angle_at(tilt, i), r_here = angle_at(roll, i);
        s.n = 0;
        for (size_t b = 0; b < setup->beams; b++)
            if (isfinite(speed[b][i]) && setup->beam[b].weight > 0)
                s.rays[s.n++].beam = &setup->beam[b];
        if (!isfinite(p_here + r_here)) {
            out[i] = no_wind(WA_WIND_NO_ATTITUDE, s.n);
            continue;
        }
        if (p_here != p || r_here != r) {
            p = p_here;
            r = r_here;
            point_all(&s, p, r);
        }
        for (size_t k = 0; k < s.n; k++) {
            size_t b = (size_t)(s.rays[k].beam - setup->beam);
            s.rays[k].speed = speed[b][i];
            for (size_t j = 0; j < 3; j++)
                s.rays[k].n[j] = s.vector[b][j];
        }
        out[i] = solve_record(&s);
    }
out:
    free(s.vector);
    free(s.rays);
    return status;
}
