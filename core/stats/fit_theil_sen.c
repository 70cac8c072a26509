/* The median of all pairwise slopes, found by counting instead of storing n^2 / 2 of them.
 *
 * The pairs whose slope is at most m are the inversions of y - m x in the order of x, which a
 * merge sort counts in n log n. Bisecting m over the doubles, 64 steps at most, gives the k-th
 * smallest slope. y - m x is kept as a sum of three doubles, so that ties are seen exactly. */
#include "windassay/fit.h"

#include "base/dd.h"

#include <stdlib.h>
#include <string.h>

typedef struct point {
    double x, y;
} point;

typedef struct height { /* y - m x = a + b + c, each far below the one before */
    double a, b, c;
} height;

typedef struct work {
    size_t n;
    point *points; /* in the order of x, then y */
    height *now, *next;
    uint64_t twins; /* pairs that are equal in both: they count as inversions at every m */
} work;

static int by_x(const void *left, const void *right)
{
    const point *a = left, *b = right;
    if (a->x != b->x)
        return a->x < b->x ? -1 : 1;
    return (a->y > b->y) - (a->y < b->y);
}

/* m.lo is 0 or a power of two, so that its product is exact. */
static height height_of(const point *p, wa_dd m)
{
    wa_dd product = wa_two_product(m.hi, p->x);
    wa_dd s = wa_two_sum(p->y, -product.hi);
    wa_dd t = wa_two_sum(s.lo, -product.lo);
    wa_dd u = wa_two_sum(t.hi, -m.lo * p->x);
    wa_dd top = wa_two_sum(s.hi, u.hi);
    wa_dd rest = wa_two_sum(top.lo, u.lo + t.lo);
    top = wa_fast_two_sum(top.hi, rest.hi);
    rest = wa_fast_two_sum(top.lo, rest.lo);
    return (height){top.hi, rest.hi, rest.lo};
}

static bool above(const height *left, const height *right)
{
    if (left->a != right->a)
        return left->a > right->a;
    if (left->b != right->b)
        return left->b > right->b;
    return left->c > right->c;
}

/* Pairs i < j with height[j] <= height[i], by merging bottom-up. */
static uint64_t count_inversions(work *w)
{
    uint64_t count = 0;
    for (size_t width = 1; width < w->n; width *= 2) {
        for (size_t from = 0; from < w->n; from += 2 * width) {
            size_t middle = from + width < w->n ? from + width : w->n;
            size_t to = middle + width < w->n ? middle + width : w->n;
            size_t i = from, j = middle;
            for (size_t k = from; k < to; k++) {
                bool right = j < to && (i == middle || !above(&w->now[j], &w->now[i]));
                if (right)
                    count += middle - i;
                w->next[k] = right ? w->now[j++] : w->now[i++];
            }
        }
        height *swap = w->now;
        w->now = w->next;
        w->next = swap;
    }
    return count;
}

/* Pairs of different x with a slope of at most m. */
static uint64_t count_up_to(work *w, wa_dd m)
{
    for (size_t i = 0; i < w->n; i++)
        w->now[i] = height_of(&w->points[i], m);
    return count_inversions(w) - w->twins;
}

/* The doubles in order as integers, and back. */
static int64_t order_of(double x)
{
    int64_t i;
    memcpy(&i, &x, sizeof i);
    return i < 0 ? INT64_MIN - i : i;
}

static double at_order(int64_t i)
{
    double x;
    i = i < 0 ? INT64_MIN - i : i;
    memcpy(&x, &i, sizeof x);
    return x;
}

/* The k-th smallest slope (from 1), rounded to the nearest double. */
static double slope_of_rank(work *w, uint64_t k, double least, double most)
{
    int64_t low = order_of(least) - 1, high = order_of(most); /* the answer is in (low, high] */
    uint64_t apart; /* may be more than an int64_t holds */
    while ((apart = (uint64_t)high - (uint64_t)low) > 1) {
        int64_t middle = low + (int64_t)(apart / 2);
        if (count_up_to(w, wa_dd_of(at_order(middle))) >= k)
            high = middle;
        else
            low = middle;
    }
    double up = at_order(high), down = at_order(low), half = (up - down) / 2;
    return count_up_to(w, (wa_dd){up, -half}) >= k && half > 0 ? down : up;
}

/* Pairs of equal x, and of those the ones of equal y. */
static uint64_t count_equal_x(work *w)
{
    uint64_t equal = 0, run_x = 0, run_xy = 0;
    for (size_t i = 1; i < w->n; i++) {
        const point *a = &w->points[i - 1], *b = &w->points[i];
        run_x = a->x == b->x ? run_x + 1 : 0;
        run_xy = run_x > 0 && a->y == b->y ? run_xy + 1 : 0;
        equal += run_x;
        w->twins += run_xy;
    }
    return equal;
}

/* Slopes between neighbours in the order of x bound all others. */
static void bound(const work *w, double *least, double *most)
{
    *least = (double)INFINITY;
    *most = -(double)INFINITY;
    size_t group = 0; /* first point of the x before */
    for (size_t i = 1; i < w->n; i++) {
        const point *p = &w->points[i];
        if (p->x == w->points[i - 1].x)
            continue;
        size_t last = i;
        while (last + 1 < w->n && w->points[last + 1].x == p->x)
            last++;
        double dx = p->x - w->points[group].x;
        double low = (p->y - w->points[i - 1].y) / dx;
        double high = (w->points[last].y - w->points[group].y) / dx;
        *least = low < *least ? low : *least;
        *most = high > *most ? high : *most;
        group = i;
    }
    /* the divisions have rounded: three roundings are less than four steps */
    *least = at_order(order_of(*least) - 4);
    *most = at_order(order_of(*most) + 4);
}

static int by_value(const void *left, const void *right)
{
    const double *a = left, *b = right;
    return (*a > *b) - (*a < *b);
}

static double middle_of(double a, double b)
{
    return a + (b - a) / 2;
}

/* Median of y - slope x; uses the room of the heights. */
static double intercept_of(work *w, double slope)
{
    double *rest = &w->now[0].a;
    for (size_t i = 0; i < w->n; i++)
        rest[i] = fma(-slope, w->points[i].x, w->points[i].y) + 0.0;
    qsort(rest, w->n, sizeof *rest, by_value);
    return middle_of(rest[(w->n - 1) / 2], rest[w->n / 2]);
}

static wa_status fit_sorted(wa_theil_sen_fit *fit, work *w, wa_error *err)
{
    uint64_t pairs = (uint64_t)w->n * (w->n - 1) / 2;
    pairs -= count_equal_x(w);
    if (pairs == 0)
        return wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: all x are equal");
    double least, most;
    bound(w, &least, &most);
    if (!isfinite(least) || !isfinite(most))
        return wa_fail(err, WA_ERR_UNDEFINED,
                       "a fit is not defined: a slope is too large for a number");
    double low = slope_of_rank(w, (pairs + 1) / 2, least, most);
    double high = pairs % 2 == 1 ? low : slope_of_rank(w, pairs / 2 + 1, low, most);
    fit->slope = middle_of(low, high) + 0.0;
    fit->intercept = intercept_of(w, fit->slope);
    if (!isfinite(fit->slope) || !isfinite(fit->intercept))
        return wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: values are too large");
    return WA_OK;
}

wa_status wa_fit_theil_sen(wa_theil_sen_fit *out, const double *x, const double *y, size_t n,
                           wa_error *err)
{
    work w = {.points = malloc((n + 1) * sizeof *w.points),
              .now = malloc((n + 1) * sizeof *w.now),
              .next = malloc((n + 1) * sizeof *w.next)};
    wa_theil_sen_fit fit = {0};
    wa_status s = WA_OK;
    if (w.points == NULL || w.now == NULL || w.next == NULL)
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory for a fit");
    for (size_t i = 0; s == WA_OK && i < n; i++) {
        if (isinf(x[i]) || isinf(y[i]))
            s = wa_fail(err, WA_ERR_UNDEFINED, "a fit is not defined: a value is not finite");
        else if (!isnan(x[i]) && !isnan(y[i]))
            w.points[w.n++] = (point){x[i], y[i]};
    }
    if (s == WA_OK && w.n < 2)
        s = wa_fail(err, WA_ERR_UNDEFINED, "a fit needs at least 2 records, but there %s",
                    w.n ? "is 1" : "are none");
    if (s == WA_OK) {
        qsort(w.points, w.n, sizeof *w.points, by_x);
        s = fit_sorted(&fit, &w, err);
    }
    if (s == WA_OK) {
        fit.n = w.n;
        fit.left_out = n - w.n;
        fit.dof = w.n - 2;
        *out = fit;
    }
    free(w.points);
    free(w.now);
    free(w.next);
    return s;
}
