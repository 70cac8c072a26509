#!/usr/bin/python3
"""exact_decimals.py ONEHZ.csv > exact_decimals.json: mean and deviations of the decimals as they are written, by
rational arithmetic and 60-digit roots, as the nearest doubles. expected.json takes the samples as
the nearest doubles instead, which differs in the deviation of the pressure from the 11th digit."""
import csv, json, sys
from fractions import Fraction
import mpmath

mpmath.mp.dps = 60
blocks = {}
for row in csv.DictReader(open(sys.argv[1])):
    minute = row["timestamp"][:15] + "0:00Z"
    for name in ("speed", "pressure", "temperature"):
        if row[name] not in ("", "NaN", "-999"):
            blocks.setdefault(minute, {}).setdefault(name, []).append(Fraction(row[name]))


def nearest(x):
    return float(mpmath.nstr(x, 40))


out = []
for start, channels in sorted(blocks.items()):
    block = {"block_start": start}
    for name, x in channels.items():
        n, mean = len(x), sum(x) / len(x)
        ss = sum((v - mean) ** 2 for v in x)
        root = lambda q: nearest(mpmath.sqrt(mpmath.mpf(q.numerator) / q.denominator))
        block[name] = {"count": n, "mean": float(mean), "min": float(min(x)), "max": float(max(x)),
                       "sd_sample": root(ss / (n - 1)), "sd_population": root(ss / n)}
    out.append(block)
json.dump(out, sys.stdout, indent=1)
print()
