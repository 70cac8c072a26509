#include "stats/normal.h"

#include "base/dd.h"

enum { SWEEPS_MOST = 30 };

/* Off-diagonal parts below this of the largest diagonal are beyond double-double. */
static const double NOTHING = 0x1p-104;

void normal_add(normal *to, const wa_dd *a, double w)
{
    for (size_t i = 0; i < to->n; i++)
        for (size_t j = 0; j < to->n; j++) {
            /* in one order for both halves, so that the matrix is symmetric to the bit */
            wa_dd product = i < j ? wa_dd_mul(a[i], a[j]) : wa_dd_mul(a[j], a[i]);
            to->m[i][j] = wa_dd_add(to->m[i][j], wa_dd_mul_d(product, w));
        }
}

/* One rotation of Jacobi's method (Golub and Van Loan, "Matrix Computations", 8.5): makes m[p][q]
 * zero. */
static void rotate(normal *a, size_t p, size_t q)
{
    wa_dd off = a->m[p][q];
    wa_dd theta = wa_dd_div(wa_dd_sub(a->m[q][q], a->m[p][p]), wa_dd_mul_d(off, 2));
    wa_dd size = theta.hi < 0 ? wa_dd_neg(theta) : theta;
    wa_dd t = wa_dd_of(0);
    if (size.hi < 0x1p300) {
        wa_dd root = wa_dd_sqrt(wa_dd_add_d(wa_dd_mul(theta, theta), 1));
        t = wa_dd_div(wa_dd_of(theta.hi < 0 ? -1 : 1), wa_dd_add(size, root));
    }
    wa_dd c = wa_dd_div(wa_dd_of(1), wa_dd_sqrt(wa_dd_add_d(wa_dd_mul(t, t), 1)));
    wa_dd s = wa_dd_mul(t, c), step = wa_dd_mul(t, off);
    a->m[p][p] = wa_dd_sub(a->m[p][p], step);
    a->m[q][q] = wa_dd_add(a->m[q][q], step);
    a->m[p][q] = a->m[q][p] = wa_dd_of(0);
    for (size_t k = 0; k < a->n; k++) {
        if (k == p || k == q)
            continue;
        wa_dd with_p = a->m[k][p], with_q = a->m[k][q];
        a->m[k][p] = a->m[p][k] = wa_dd_sub(wa_dd_mul(c, with_p), wa_dd_mul(s, with_q));
        a->m[k][q] = a->m[q][k] = wa_dd_add(wa_dd_mul(s, with_p), wa_dd_mul(c, with_q));
    }
}

double normal_condition(const normal *of)
{
    normal a = *of;
    double most = 0;
    for (size_t i = 0; i < a.n; i++)
        most = fabs(a.m[i][i].hi) > most ? fabs(a.m[i][i].hi) : most;
    bool again = isfinite(most);
    for (int sweep = 0; again && sweep < SWEEPS_MOST; sweep++) {
        again = false;
        for (size_t p = 0; p < a.n; p++)
            for (size_t q = p + 1; q < a.n; q++)
                if (fabs(a.m[p][q].hi) > most * NOTHING) {
                    rotate(&a, p, q);
                    again = true;
                }
    }
    wa_dd least = a.m[0][0], largest = a.m[0][0];
    for (size_t i = 1; i < a.n; i++) {
        if (wa_dd_sub(a.m[i][i], least).hi < 0)
            least = a.m[i][i];
        if (wa_dd_sub(a.m[i][i], largest).hi > 0)
            largest = a.m[i][i];
    }
    if (!(least.hi > 0) || !isfinite(largest.hi))
        return (double)INFINITY;
    return wa_dd_sqrt(wa_dd_div(largest, least)).hi;
}

/* a b - c d */
static wa_dd minor(wa_dd a, wa_dd b, wa_dd c, wa_dd d)
{
    return wa_dd_sub(wa_dd_mul(a, b), wa_dd_mul(c, d));
}

void normal_invert(normal *inverse, const normal *of)
{
    const wa_dd(*m)[NORMAL_MOST] = of->m;
    normal out = {.n = of->n};
    wa_dd determinant;
    if (of->n == 2) {
        determinant = minor(m[0][0], m[1][1], m[0][1], m[0][1]);
        out.m[0][0] = m[1][1];
        out.m[1][1] = m[0][0];
        out.m[0][1] = wa_dd_neg(m[0][1]);
    } else {
        out.m[0][0] = minor(m[1][1], m[2][2], m[1][2], m[1][2]);
        out.m[0][1] = minor(m[0][2], m[1][2], m[0][1], m[2][2]);
        out.m[0][2] = minor(m[0][1], m[1][2], m[0][2], m[1][1]);
        out.m[1][1] = minor(m[0][0], m[2][2], m[0][2], m[0][2]);
        out.m[1][2] = minor(m[0][1], m[0][2], m[0][0], m[1][2]);
        out.m[2][2] = minor(m[0][0], m[1][1], m[0][1], m[0][1]);
        determinant = wa_dd_add(wa_dd_mul(m[0][0], out.m[0][0]), wa_dd_mul(m[0][1], out.m[0][1]));
        determinant = wa_dd_add(determinant, wa_dd_mul(m[0][2], out.m[0][2]));
    }
    for (size_t i = 0; i < of->n; i++)
        for (size_t j = i; j < of->n; j++)
            out.m[i][j] = out.m[j][i] = wa_dd_div(out.m[i][j], determinant);
    *inverse = out;
}

void normal_times(wa_dd *x, const normal *m, const wa_dd *right)
{
    for (size_t i = 0; i < m->n; i++) {
        wa_dd sum = wa_dd_of(0);
        for (size_t j = 0; j < m->n; j++)
            sum = wa_dd_add(sum, wa_dd_mul(m->m[i][j], right[j]));
        x[i] = sum;
    }
}
