#!/usr/bin/env python3
"""The invented data of the golden campaign: three days of a unit by the minute, and of a mast by
10 minutes. Run once for each golden dossier; the dossier keeps its data.

    generate.py FOLDER"""
import gzip
import math
import pathlib
import sys

folder = pathlib.Path(sys.argv[1])
state = 417


def noise():
    """Uniform in [-1, 1), the same for ever (a multiplicative generator modulo 2^31 - 1)."""
    global state
    state = state * 48271 % 2147483647
    return state / 2147483647 * 2 - 1


def wind(minute):
    return 8 + 4 * math.sin(minute / 290) + 1.5 * math.sin(minute / 37)


def direction(minute):
    return (210 + 60 * math.sin(minute / 800)) % 360


def stamp(minute):
    return f"2026-03-{2 + minute // 1440:02}T{minute // 60 % 24:02}:{minute % 60:02}:00Z"


MINUTES = 3 * 1440
unit = ["time,speed,direction,signal,status\n"]
for m in range(MINUTES):
    if 2000 <= m < 2045:  # the unit was off
        continue
    speed = "" if m % 611 == 0 else f"{1.006 * wind(m) + 0.5 * noise():.2f}"
    unit.append(f"{stamp(m)},{speed},{(direction(m) + 1.5 + 3 * noise()) % 360:.1f},{-12 + 9 * noise():.1f},{1 if m % 997 < 3 else 0}\n")
with gzip.GzipFile(folder / "unit.csv.gz", "wb", 9, mtime=0) as f:
    f.write("".join(unit).encode())

mast = ["end;v;v sd;d;t;rh\n"]
for m in range(0, MINUTES, 10):
    inside = [wind(k) for k in range(m, m + 10)]
    mean = sum(inside) / 10
    sd = math.sqrt(sum((x - mean) ** 2 for x in inside) / 9)
    t = 1 + 4 * math.sin(m / 700)
    row = f"{mean + 0.05 * noise():.3f};{sd + 0.3:.3f};{direction(m + 5) + noise():.1f};{t:.1f};{70 + 15 * noise():.0f}"
    mast.append(f"{stamp(m + 10)};{row}\n".replace(".", ","))
(folder / "mast.csv").write_text("".join(mast), encoding="utf-8")
