#!/usr/bin/python3
"""Makes expected.json: normal, t, beta and chi-squared probabilities and quantiles by 60-digit arithmetic (mpmath).

Arguments are the doubles that the shortest text stands for. Quantiles are roots of the probability."""
import json
from mpmath import mp, mpf, erfc, sqrt, exp, findroot, log, log1p, loggamma, nstr, quad

mp.dps = 60


def normal(z):
    return erfc(-mpf(z) / sqrt(2)) / 2


def beta_small(x, y, a, b):
    """x^a y^b / (a B(a, b)) 2F1(a + b, 1; a + 1; x), whose terms are all positive."""
    term = total = mpf(1)
    k = 0
    while term > total * mpf(10) ** -(mp.dps - 2):
        term *= (a + b + k) * x / (a + 1 + k)
        total += term
        k += 1
    return exp(a * log(x) + b * log(y) + loggamma(a + b) - loggamma(a) - loggamma(b)) / a * total


def beta(x, a, b, y=None):
    """I_x(a, b); y = 1 - x. The smaller tail is summed directly, so that nothing cancels."""
    x, a, b = mpf(x), mpf(a), mpf(b)
    y = 1 - x if y is None else y
    if x < (a + 1) / (a + b + 2):
        return beta_small(x, y, a, b)
    return 1 - beta_small(y, x, b, a)


def t_upper(t, n):
    t, n = mpf(t), mpf(n)
    if n < 200:
        return beta(n / (n + t * t), n / 2, mpf(1) / 2, t * t / (n + t * t)) / 2
    scale = exp(loggamma((n + 1) / 2) - loggamma(n / 2)) / sqrt(n * mp.pi)
    return scale * quad(lambda v: exp(-(n + 1) / 2 * log1p(v * v / n)), [t, t + 1, t + 3, t + 8, t + 30, t + 300])


def t_cdf(t, n):
    return t_upper(-t, n) if t < 0 else 1 - t_upper(t, n)


def t_quantile(p, n, start):
    p = mpf(p)
    q = p if p < 0.5 else 1 - p
    t = findroot(lambda v: log(t_upper(v, n) / q), (start * 0.999, start * 1.001), solver='secant', tol=1e-45)
    return -t if p < 0.5 else t


def row(value, *at):
    return {'at': list(at), 'double': repr(float(value)), 'digits40': nstr(value, 40)}


def start_t(p, n):
    """A rough root: bisection in double precision, from the normal quantile for large n."""
    q = min(p, 1 - p)
    if n >= 200:
        z = -sqrt(2) * mp.erfinv(2 * mpf(q) - 1)
        return z + (z ** 3 + z) / (4 * n)
    low, high = mpf('1e-9'), mpf('1e60')
    mp.dps = 15
    for _ in range(60):
        middle = sqrt(low * high)
        low, high = (middle, high) if t_upper(middle, n) > q else (low, middle)
    mp.dps = 60
    return low


def beta_quantile(p, a, b):
    low, high = mpf(0), mpf(1)
    for _ in range(60):
        middle = (low + high) / 2
        if beta(middle, a, b) < p:
            low = middle
        else:
            high = middle
    return findroot(lambda v: beta(v, a, b) - mpf(p), (low, high), solver='secant', tol=1e-45)


def chi2(x, n):
    """The series of the incomplete gamma function, whose terms are all positive; 1 - Q by the same."""
    return mp.gammainc(mpf(n) / 2, 0, mpf(x) / 2, regularized=True)


def chi2_quantile(p, n):
    low, high = mpf('1e-200'), mpf(2 * n + 1000)
    for _ in range(200):
        middle = mp.sqrt(low * high) if high > 4 * low else (low + high) / 2
        low, high = (middle, high) if chi2(middle, n) < p else (low, middle)
    return findroot(lambda v: log(chi2(v, n)) - log(mpf(p)), (low, high), solver='secant', tol=1e-45)


out = {
    'normal_cdf': [row(normal(z), z) for z in
                   (-38, -20.5, -9.25, -7.0, -6.9999, -5, -3, -1.96, -1, -0.1, -1e-9, 0, 0.3, 1, 1.645, 2, 3, 5, 8)],
    'normal_quantile': [row(mp.sqrt(2) * mp.erfinv(2 * mpf(p) - 1) if p > 1e-20 else
                            findroot(lambda z: log(normal(z) / p), (-30, -31), solver='secant'), p) for p in
                        (1e-200, 1e-15, 1e-9, 0.001, 0.02275, 0.05, 0.0749, 0.0751, 0.3, 0.5, 0.7, 0.95, 0.975, 0.97725, 0.995,
                         0.99865, 0.999999)],
    't_cdf': [row(t_cdf(t, n), t, n) for n in (1, 2, 3.5, 16.75, 100, 19999, 20001, 1e6, 1e9)
              for t in (-40, -8.5, -2, -0.01, 0.7, 3)],
    't_quantile': [row(t_quantile(p, n, start_t(p, n)), p, n) for n in (1, 1.5, 2, 9, 16.75, 120, 4319, 19999, 20001, 1e6)
                   for p in (1e-12, 0.025, 0.4, 0.6, 0.95, 0.975, 0.97725, 0.995, 0.99865)],
    'beta_cdf': [row(beta(x, a, b), x, a, b) for a, b in ((0.5, 0.5), (2, 3), (10, 0.25), (50, 2.5), (1000, 3000))
                 for x in (0.001, 0.25, 0.5, 0.75, 0.999)],
    'chi2_cdf': [row(chi2(x, n), x, n) for n in (1, 2, 3.5, 10, 100, 4319) for x in (0.001, 0.5, 3, 9.5, 110, 4400)],
    'chi2_quantile': [row(chi2_quantile(p, n), p, n) for n in (1, 1.5, 2, 10, 36.25, 500, 20000)
                      for p in (1e-12, 0.025, 0.5, 0.95, 0.975, 0.999)],
    'beta_quantile': [row(beta_quantile(p, a, b), p, a, b) for a, b in ((0.5, 0.5), (2, 3), (10, 0.25), (50, 2.5), (1000, 3000))
                      for p in (0.025, 0.5, 0.975)],
}
json.dump(out, open('expected.json', 'w'), indent=1)
