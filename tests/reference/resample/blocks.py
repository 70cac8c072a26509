#!/usr/bin/env python3
"""The moving-block bootstrap of docs/reference/methods.md, once more and plainly: every record of
every drawn block is written out, sums are exact fractions. Nothing here is ours but the text of the
method; MT19937 is the recurrence of its paper. Prints the expected values of records.csv.

  blocks.py records > records.csv     the records (a generator by remainders, no library)
  blocks.py expected > expected.csv"""
import sys
from fractions import Fraction as F
from math import sqrt

STEP, DAY = 600, 86400


def records():
    """Autocorrelated pairs with gaps: single records, half a day, and two days short of a block."""
    state, level = 2026, 0.0
    rows = []
    for i in range(9 * 144):
        state = (state * 1103515245 + 12345) % 2**31
        level = round(0.8 * level + (state / 2**31 - 0.5), 3)
        state = (state * 1103515245 + 12345) % 2**31
        x = round(8 + 4 * (state / 2**31 - 0.5) + level, 2)
        y = round(1.01 * x + 0.05 * level, 2)
        if i in (200, 201, 640) or 700 <= i < 770 or 1000 <= i < 1020 or 1050 <= i < 1200:
            continue
        rows.append((1772323200 + STEP * i, x, "" if i % 97 == 5 else y))
    return rows


def mt19937(seed):
    s = [seed]
    for i in range(1, 624):
        s.append((1812433253 * (s[-1] ^ (s[-1] >> 30)) + i) & 0xFFFFFFFF)
    while True:
        for j in range(624):
            y = (s[j] & 0x80000000) | (s[(j + 1) % 624] & 0x7FFFFFFF)
            s[j] = s[(j + 397) % 624] ^ (y >> 1) ^ (0x9908B0DF if y & 1 else 0)
        for y in s:
            y ^= y >> 11
            y ^= (y << 7) & 0x9D2C5680
            y ^= (y << 15) & 0xEFC60000
            yield y ^ (y >> 18)


def below(words, n):
    while True:
        w = next(words)
        if w < 2**32 - 2**32 % n:
            return w % n


def runs_of(pairs):
    runs = []
    for i, p in enumerate(pairs):
        if i == 0 or p[0] - pairs[i - 1][0] != STEP:
            runs.append([])
        runs[-1].append(p)
    return runs


def draw(words, runs, length, n):
    """One resample."""
    out = []
    while len(out) < n:
        at = below(words, sum(max(len(r), length) for r in runs))
        for run in runs:
            if at < max(len(run), length):
                break
            at -= max(len(run), length)
        start = below(words, len(run) - length + 1) if len(run) > length else 0
        out += run[start:start + length]
    return out[:n]


def mean(v):
    return sum(v) / len(v)


def slope(x, y):
    mx, my = mean(x), mean(y)
    return sum((a - mx) * (b - my) for a, b in zip(x, y)) / sum((a - mx) ** 2 for a in x)


def origin(x, y):
    return sum(a * b for a, b in zip(x, y)) / sum(a * a for a in x)


def binned(x, y):
    """Means of the bins of 0.5 centred on multiples, 7 to 9, with 3 records or more."""
    bins = {}
    for a, b in zip(x, y):
        k = (2 * a + F(1, 2)).__floor__()
        if 14 <= k <= 18:
            bins.setdefault(k, []).append((a, b))
    full = [v for k, v in sorted(bins.items()) if len(v) >= 3]
    return [mean([a for a, _ in v]) for v in full], [mean([b for _, b in v]) for v in full]


STATISTICS = {
    "mean": lambda x, y: mean(x),
    "deviation": lambda x, y: mean(y) - mean(x),
    "ratio": lambda x, y: mean(y) / mean(x),
    "through_origin": origin,
    "line": slope,
    "intercept": lambda x, y: mean(y) - slope(x, y) * mean(x),
    "through_origin.bin_means": lambda x, y: origin(*binned(x, y)),
    "line.bin_means": lambda x, y: slope(*binned(x, y)),
}


def of(name, pairs):
    return float(STATISTICS[name]([p[1] for p in pairs], [p[2] for p in pairs]))


def quantile(values, p):
    v = sorted(values)
    h = (len(v) - 1) * p
    k = int(h)
    return v[k] + (h - k) * (v[min(k + 1, len(v) - 1)] - v[k])


def jackknife(values):
    m, n = mean(values), len(values)
    return sqrt((n - 1) / n * sum((v - m) ** 2 for v in values))


def expected():
    print("statistic,length,estimate,standard_error,low,high,first,days,day_error,day_least,day_most")
    rows = [r for r in records()]
    for length, times in ((144, 60), (10, 60)):
        for name in STATISTICS:
            pairs = [(t, F(str(x)), F(str(x if y == "" else y))) for t, x, y in rows
                     if y != "" or name == "mean"]
            words, runs = mt19937(20260302), runs_of(pairs)
            values = [of(name, draw(words, runs, length, len(pairs))) for _ in range(times)]
            days = sorted({p[0] // DAY for p in pairs})
            without = [of(name, [p for p in pairs if p[0] // DAY != d]) for d in days]
            m = mean(values)
            sd = sqrt(sum((v - m) ** 2 for v in values) / (times - 1))
            print(f"{name},{length},{of(name, pairs)!r},{sd!r},{quantile(values, 0.025)!r},"
                  f"{quantile(values, 0.975)!r},{values[0]!r},{len(days)},{jackknife(without)!r},"
                  f"{min(without)!r},{max(without)!r}")


if sys.argv[1] == "records":
    print("time,x,y")
    for t, x, y in records():
        print(f"{t},{x},{y}")
else:
    expected()
