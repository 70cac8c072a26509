#!/usr/bin/env python3
"""Writes the small invented campaign: eight days of 10-min statistics of unit NL-0420 and of the
Ravnmoor mast. Nothing here was measured. Only + - * / on the raw bits of the Mersenne Twister, so
that every machine writes the same bytes; tests/program/small.sh compares them with the files.

    generate.py FOLDER        writes FOLDER/unit.csv and FOLDER/mast.csv

Planted: gain 1.004, offset 0.02 m/s, direction 1.5 degrees; two hours without rows of the unit; a
cold and damp night; a turbine's wake from 52 to 98 degrees."""
import datetime
import random
import sys

DAYS, STEP = 8, 600
START = datetime.datetime(2026, 3, 2)


def triangle(t, period):
    """From 0 to 1 and back in a period."""
    phase = t / period % 1
    return 2 * phase if phase < 0.5 else 2 - 2 * phase


def bell(rng):
    """Mean 0, standard deviation 1, bounded."""
    return (sum(rng.random() for _ in range(12)) - 6)


def comma(text):
    return text.replace(".", ",")


def main(folder):
    rng = random.Random(420)
    unit = ["time,speed,speed_sd,direction,samples,availability"]
    mast = ["interval end;v mean;v sd;d mean;t mean;rh mean", "UTC+1;m/s;m/s;degree;degC;%"]
    gust = 0.0
    for i in range(DAYS * 86400 // STEP):
        t = i * STEP
        gust = 0.7 * gust + 0.5 * bell(rng)
        v = max(0.4, 1.6 + 15.6 * triangle(t, 83000) + gust)
        d = (150 + 190 * triangle(t, 290000) + 4 * bell(rng)) % 360
        if 4 * 86400 <= t < 4 * 86400 + 8 * 3600:
            d = (70 + 8 * bell(rng)) % 360
        cold = 6 * 86400 <= t < 6 * 86400 + 7 * 3600
        temperature = (0.8 if cold else 6 + 4 * triangle(t, 86400)) + 0.2 * bell(rng)
        humidity = (91 if cold else 70 + 8 * triangle(t + 30000, 86400)) + bell(rng)
        sd = max(0.05, 0.11 * v * (1 + 0.15 * bell(rng)))
        s = max(0.2, 1.004 * v + 0.02 + 0.09 * bell(rng))
        n = 600 if rng.random() > 0.04 else 300 + int(300 * rng.random())
        local = START + datetime.timedelta(seconds=t + STEP + 3600)
        mast.append(";".join([local.strftime("%d.%m.%Y %H:%M"), comma(f"{v:.2f}"), comma(f"{sd:.2f}"),
                              comma(f"{d % 360:.1f}"), comma(f"{temperature:.1f}"),
                              comma(f"{humidity:.0f}")]))
        if 2 * 86400 + 36000 <= t < 2 * 86400 + 43200:
            continue
        utc = START + datetime.timedelta(seconds=t + STEP)
        unit.append(f"{utc:%Y-%m-%dT%H:%M}Z,{s:.2f},{sd * 0.97:.2f},"
                    f"{(d + 1.5 + 1.2 * bell(rng)) % 360:.1f},{n},{n / 600:.3f}")
    for name, lines in (("unit", unit), ("mast", mast)):
        with open(f"{folder}/{name}.csv", "w", encoding="utf-8", newline="\n") as file:
            file.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(sys.argv[1])
