#!/usr/bin/python3
"""How far the fine clock offset is off: the plain fit and the one with an instrument, on wind made
of known memory (docs/design/0003-fine-clock-offset.md). Needs numpy; not run by the tests.

Own simulation: 40 000 intervals of 60 samples; the unit sees the same wind 6 samples (f = 0.1) early."""
import numpy as np

SAMPLES, INTERVALS, SHIFT = 60, 40000, 6


def fit(columns, y):
    return np.linalg.lstsq(np.column_stack([*columns, np.ones(len(y))]), y, rcond=None)[0]


def offsets(wind):
    n = len(wind) // SAMPLES - 1
    v = wind[:n * SAMPLES].reshape(n, SAMPLES).mean(1)
    s = wind[SHIFT:SHIFT + n * SAMPLES].reshape(n, SAMPLES).mean(1)
    k = np.arange(2, n - 2)
    near, far = (v[k + 1] - v[k - 1]) / 2, v[k + 2] - v[k - 2]
    plain = fit([v[k], near], s[k])
    first = fit([v[k], far], near)
    second = fit([v[k], first[0] * v[k] + first[1] * far], s[k])
    return plain[1] / plain[0], second[1] / second[0]


def memory(rng, intervals):
    """A first-order process whose correlation falls to 1/e in that many intervals."""
    keep, value = np.exp(-1 / (intervals * SAMPLES)), 0.0
    wind = rng.standard_normal(INTERVALS * SAMPLES)
    for i in range(len(wind)):
        value = wind[i] = keep * value + wind[i]
    return wind


def main():
    rng = np.random.default_rng(1)
    for intervals in (1, 6, 60):
        print(f"memory {intervals:3d} intervals: plain %.4f, instrument %.4f" % offsets(memory(rng, intervals)))
    t = np.arange(INTERVALS * SAMPLES) / SAMPLES
    slow = sum(np.sqrt(p) * np.sin(2 * np.pi * t / p + 6 * rng.random()) for p in (20, 47, 110, 333))
    print("slow waves:           plain %.4f, instrument %.4f" % offsets(slow))
    print("waves and noise:      plain %.4f, instrument %.4f"
          % offsets(slow + 3 * rng.standard_normal(len(slow))))


if __name__ == "__main__":
    main()
