#!/usr/bin/env python3
"""The checks turbulence, shear_and_veer, environment, reference_health, site and sensitivity on an
invented campaign, against the same numbers computed here by their definitions.

    profile.py WINDASSAY FOLDER     FOLDER: where data and dossier go
"""
import math
import pathlib
import shutil
import sys
from statistics import median

from invented import (Numbers, Record, by_bin, correlation, line, mean, rms, scripts_folder, sd, through_origin, turn,
                      write)

windassay, folder = sys.argv[1], pathlib.Path(sys.argv[2])
folder.mkdir(parents=True, exist_ok=True)
shutil.copy(scripts_folder() / "profile.lua", folder / "campaign.lua")
N, random = 1440, Numbers(421)

unit, mast = [], []
slow, course = 0.0, 200.0
for i in range(N):
    slow = 0.97 * slow + random.normal(0.7)
    v = abs(9 + slow) + 0.5
    course = (course + random.normal(6)) % 360
    alpha = 0.18 + 0.06 * math.cos(2 * math.pi * i / 144) + random.normal(0.02)
    ti = 0.06 + 0.05 * random.uniform()
    temperature = 6 + 7 * math.sin(2 * math.pi * i / 144) + random.normal(0.3)
    s = 1.006 * v + random.normal(0.12) + 0.01 * (temperature - 6)
    veer = 3 + random.normal(1)
    mast.append({
        "v80": v, "v80_sd": ti * v,
        # the control cup loses 0.08 m/s in the second half
        "v78": 0.995 * v + random.normal(0.03) - (0.08 if i >= N // 2 else 0),
        "v40": v * 0.5 ** alpha, "d80": course, "d40": (course - veer) % 360,
        "t": temperature, "rh": 75 + 12 * random.uniform(), "p": 1013 + slow,
        "rain": max(0, 3 * math.sin(i / 37) - 2)})
    unit.append({
        "s80": s, "s80_sd": 0.93 * ti * v + abs(random.normal(0.03)),
        "there": 1 if i % 50 else 0.6, "s40": s * 0.5 ** (alpha + random.normal(0.01)),
        "e80": (course + 1 + random.normal(1)) % 360, "e40": (course - veer + 1.2 + random.normal(1)) % 360,
        "inside": temperature + 12, "inside_max": temperature + 14, "tilt": 1.6 + random.normal(0.05),
        "roll": random.normal(0.3)})
for i in range(300, 305):
    mast[i]["v80"] = None
for i in range(500, 508):  # a stuck vane
    mast[i]["d80"] = 210.0
for i in range(700, 704):  # a stuck cup
    mast[i]["v78"] = 8.25
    mast[i + 10]["v80_sd"] = 0.004
for i in range(900, 903):
    unit[i]["s80"] = None
    unit[i + 5]["tilt"] = None
mast[1100]["v80"] += 25  # spikes
mast[1101]["v80"] += 20
mast[1200]["v80"] = 0.7
for i in range(20, 26):
    mast[i]["t"] = None  # within a spell of ice
write(folder / "unit.csv", unit)
write(folder / "mast.csv", mast)

r = Record(windassay, folder / "campaign.lua")
column = {k: [row[k] for row in unit] for k in unit[0]} | {k: [row[k] for row in mast] for k in mast[0]}


def stuck(x, n):
    """True where a value stands in a run of n or more equal ones."""
    out, start = [False] * len(x), 0
    for i in range(1, len(x) + 1):
        if i == len(x) or x[i] is None or x[i] != x[start]:
            if i - start >= n and x[start] is not None:
                out[start:i] = [True] * (i - start)
            start = i
    return out


def bearing(east, north):
    return math.degrees(math.atan2(east, north)) % 360


# disturbed: the sector given, and that of turbine T9 from the mast and from the unit; T4 is farther than 20 D
def sector(east, north):
    length = math.hypot(east, north)
    return bearing(east, north), (1.3 * math.degrees(math.atan(2.5 * 90 / length + 0.15)) + 10) / 2


SECTORS = [sector(0, 1500), sector(228, 1436)]
bad_vane = stuck(column["d80"], 6)


def disturbed(d):
    return 52 <= d < 98 or any(-half <= turn(d, middle) < half for middle, half in SECTORS)


icing = [t is not None and t < 2 and h > 80 for t, h in zip(column["t"], column["rh"])]


def usual(needed, ice=icing):
    """Intervals that the exclusions of practice/exclusions.lua leave."""
    return [i for i in range(N) if all(column[k][i] is not None for k in needed) and column["there"][i] >= 0.8
            and not ice[i] and not bad_vane[i] and not disturbed(column["d80"][i])]


def spikes(x, window, times):
    """True where a value lies further than that from the median of the window about it."""
    h, out = window // 2, []
    for i, value in enumerate(x):
        near = [a for a in x[max(0, i - h):i + h + 1] if a is not None]
        if value is None or len(near) <= h:
            out.append(False)  # not judged, and kept
            continue
        m = median(near)
        out.append(abs(value - m) > times * 1.4826 * median([abs(a - m) for a in near]))
    return out


def thawing(start, t, above, n):
    """Ice from `start` on until it has been warmer than `above` in n intervals; None: not known."""
    out, ice, warm = [], False, 0
    for begins, degrees in zip(start, t):
        warm = warm + 1 if degrees is not None and degrees > above else 0
        ice = begins or (ice and warm < n)
        out.append(ice)
    return out


# ---- turbulence -------------------------------------------------------------------------------
c = "turbulence"
kept = [i for i in usual(["v80", "v80_sd", "s80", "s80_sd"]) if 3.5 <= column["v80"][i] < 16.5]
v = [column["v80"][i] for i in kept]
x, y = [column["v80_sd"][i] for i in kept], [column["s80_sd"][i] for i in kept]
ti_ref = [100 * a / b for a, b in zip(x, v)]
ti_unit = [100 * a / column["s80"][i] for a, i in zip(y, kept)]
e = [100 * (a - b) / b for a, b in zip(ti_unit, ti_ref)]
assert 700 < len(kept) < 1300
r.expect("records", r.value(c, "records compared"), len(kept))
r.expect("MRBE", r.value(c, "MRBE"), mean(e))
r.expect("RRMSE", r.value(c, "RRMSE"), rms(e))
r.expect("mean error", r.value(c, "mean error of TI"), mean([a - b for a, b in zip(ti_unit, ti_ref)]))
r.expect("forced", r.value(c, "forced slope of sd"), through_origin(x, y))
r.expect("free", r.value(c, "free intercept of sd"), line(x, y)[1], 1e-9)
bins = dict(width=1, lowest=4, highest=16, at_least=3)
r.expect("counts", r.column(c, "by bin", "records"), by_bin(v, v, 1, 4, 16, 0, len))
r.expect("bin MRBE", r.column(c, "by bin", "MRBE"), by_bin(v, e, **bins, f=mean))
r.expect("bin RRMSE", r.column(c, "by bin", "RRMSE"), by_bin(v, e, **bins, f=rms))
rep = [[by_bin(v, t, **bins, f=lambda g: mean(g) + 1.28 * sd(g))] for t in (ti_ref, ti_unit)]
r.expect("representative", r.column(c, "by bin", "unit representative TI"), rep[1][0])
r.expect("its error", r.column(c, "by bin", "error of representative TI"),
         [None if a is None else b - a for a, b in zip(rep[0][0], rep[1][0])])

# ---- the same with filters that are off by default ----------------------------------------------
c = "filtered"
flat = [v is not None and v > 2 and (f or d < 0.01) for v, d, f in
        zip(column["v80"], column["v80_sd"], stuck(column["v80"], 3))]
spike = spikes(column["v80"], 13, 5)
long_ice = thawing(icing, column["t"], 3, 12)
wet = [a > 0.5 for a in column["rain"]]
assert spike[1100] and spike[1101] and spike[1200] and sum(spike) < 60
assert sum(flat) == 4 and sum(wet) > 50 and sum(long_ice) > sum(icing) + 50
kept = [i for i in usual(["v80", "v80_sd", "s80", "s80_sd"], long_ice) if 3.5 <= column["v80"][i] < 16.5
        and not flat[i] and not spike[i] and not wet[i]]
r.expect("filtered records", r.value(c, "records compared"), len(kept))
x, y = [column["v80_sd"][i] for i in kept], [column["s80_sd"][i] for i in kept]
r.expect("filtered slope", r.value(c, "forced slope of sd"), through_origin(x, y))
excluded = {e["reason"]: e["intervals"] for e in r.checks[c]["exclusions"]}
for reason, mask in (("cup stuck", flat), ("spike of the reference", spike), ("icing possible", long_ice),
                     ("rainfall rate above 0.5 mm/h", wet)):
    r.expect(reason, excluded.get(reason), sum(mask))

# ---- shear and veer ---------------------------------------------------------------------------
c = "shear_and_veer"
kept = [i for i in usual(["v80", "v40", "s80", "s40"]) if column["v80"][i] >= 4]


def exponent(top, low):
    return [math.log(column[top][i] / column[low][i]) / math.log(2) for i in kept]


a, b = exponent("v80", "v40"), exponent("s80", "s40")
off = [q - p for p, q in zip(a, b)]
v = [column["v80"][i] for i in kept]
if "heights of shear: 40, 80 m" not in r.notes(c):
    r.faults.append(f"heights of shear: {r.notes(c)}")
r.expect("records", r.value(c, "records compared"), len(kept))
r.expect("shear", r.value(c, "shear of the reference, mean"), mean(a))
r.expect("shear difference", r.value(c, "shear difference, mean"), mean(off))
r.expect("shear sd", r.value(c, "shear difference, sd"), sd(off))
bins = dict(width=1, lowest=4, highest=16, at_least=20)
r.expect("shear bins", r.column(c, "shear by bin", "difference"), by_bin(v, off, **bins, f=mean))
r.expect("errors", r.column(c, "shear by bin", "standard error"),
         by_bin(v, off, **bins, f=lambda g: sd(g) / math.sqrt(len(g))))
# where the unit's speed is missing its availability cannot be judged
kept = [i for i in usual(["v80", "s80", "d80", "d40", "e80", "e40"]) if column["v80"][i] >= 4]
veer = [turn(column["d80"][i], column["d40"][i]) / 40 for i in kept]
off = [turn(column["e80"][i], column["e40"][i]) / 40 - w for i, w in zip(kept, veer)]
r.expect("veer", r.value(c, "veer of the reference, mean"), mean(veer))
r.expect("veer difference", r.value(c, "veer difference, mean"), mean(off))

# ---- environment ------------------------------------------------------------------------------
c = "environment"
below = sum(t < 4 for t in column["inside"])
above = sum(t > 30 for t in column["inside_max"])
tilted = [t is not None and abs(t - 1.6) > 0.1 for t in column["tilt"]]
r.expect("below", r.column(c, "envelope", "hours below")[0], below / 6)
r.expect("above", r.column(c, "envelope", "hours above")[0], above / 6)
r.expect("highest", r.column(c, "envelope", "highest")[0], max(column["inside_max"]))
r.expect("tilt", r.value(c, "hours outside, tilt"), sum(tilted) / 6)
r.expect("without", r.column(c, "envelope", "hours without data"), [0, 3 / 6, 0])
r.expect("roll", r.value(c, "hours outside, roll"), 0)
assert sum(tilted) > 20

# ---- reference health -------------------------------------------------------------------------
c = "reference_health"
flat = [s < 0.01 and m is not None and m > 2 for s, m in zip(column["v80_sd"], column["v80"])]
cups = [[f or (q and m is not None and m > 2) for f, q, m in zip(
    flat if k == "v80" else [False] * N, stuck(column[k], 3), column[k])] for k in ("v80", "v78", "v40")]
vanes = [stuck(column[k], 6) for k in ("d80", "d40")]
names = ["mast.control (wind_speed, 78 m, control)", "mast.low (wind_speed, 40 m)",
         "mast.top (wind_speed, 80 m, primary)"]
r.expect("channels", r.column(c, "sensors", "channel")[:3], names)
r.expect("stuck", r.column(c, "sensors", "hours stuck")[:3], [sum(cups[k]) / 6 for k in (1, 2, 0)])
r.expect("vanes", sorted(r.column(c, "sensors", "hours stuck")[3:]), sorted(sum(s) / 6 for s in vanes))
assert sum(cups[0]) >= 4 and sum(cups[1]) >= 4 and sum(vanes[0]) == 8
r.expect("icing", r.value(c, "hours with icing possible"), sum(icing) / 6)
bad = [any(s[i] for s in cups + vanes) for i in range(N)]
kept = [i for i in range(N) if not bad[i] and not icing[i] and not disturbed(column["d80"][i])
        and column["v80"][i] is not None]
x = [column["v80"][i] for i in kept]
# the certificate takes the place of the logger's line: y = (slope / a) d + (offset - (slope / a) b)
ratio = 0.0460 / 0.0490
y = [ratio * column["v78"][i] + (0.2 - ratio * 0.2) for i in kept]
r.expect("records", r.value(c, "cups, records"), len(kept))
r.expect("cup slope", r.value(c, "cups, forced slope"), through_origin(x, y), 1e-9)
n = len(kept) // 2
slope, intercept = line(x[:n], y[:n])
r.expect("first slope", r.value(c, "cups, slope of the first part"), slope, 1e-9)
off = [w - (slope * z + intercept) for z, w in zip(x[n:], y[n:])]
bins = dict(width=1, lowest=6, highest=12, at_least=3)
r.expect("in situ", r.column(c, "in-situ comparison", "root of the squares"),
         by_bin(x[n:], off, **bins, f=lambda g: math.hypot(mean(g), sd(g) / math.sqrt(len(g)))), 1e-9)
r.expect("states", r.column(c, "certificates", "state"), ["expires within the period", "valid"])
if "the slope of control on primary, 0.9" not in r.notes(c) or "certificate by logger slope of A-2" not in r.notes(c):
    r.faults.append(f"the calibration of A-2 is not suspected: {r.notes(c)}")
kept = [i for i in range(N) if not bad[i] and not icing[i] and not disturbed(column["d80"][i])]
off = [turn(column["d40"][i], column["d80"][i]) for i in kept]
at = math.degrees(math.atan2(math.fsum(math.sin(math.radians(d)) for d in off),
                             math.fsum(math.cos(math.radians(d)) for d in off)))
r.expect("vanes differ", r.value(c, "vanes, mean difference"), at)

# ---- site -------------------------------------------------------------------------------------
c = "site"
z = 2.10 + 240 * math.sin(math.radians(1.62))
u = math.hypot(0.02, 240 * math.cos(math.radians(1.62)) * math.radians(0.05))
r.expect("beam heights", r.column(c, "beams at their ranges", "beam height"), [z, 80.3])
r.expect("their u", r.column(c, "beams at their ranges", "u of it"), [u, 0.2])
r.expect("effect", r.column(c, "beams at their ranges", "effect on speed")[1], 100 * 0.2 * 0.3 / 80)
r.expect("distance", r.value(c, "distance from unit to reference"), math.hypot(228, 64))
r.expect("direction", r.value(c, "direction from unit to reference"), bearing(228, -64))
for text in ("turbine T4: 22.2 rotor diameters from the reference; beyond 20", "refer to different norths",
             "a direction states no north reference"):
    if text not in r.notes(c):
        r.faults.append(f"site does not say: {text} ({r.notes(c)})")

# ---- sensitivity ------------------------------------------------------------------------------
c = "sensitivity"
kept = [i for i in usual(["v80", "s80", "v40", "d40", "t"]) if 4 <= column["v80"][i] < 16]
r.expect("records", r.value(c, "records compared"), len(kept))
e = [100 * (column["s80"][i] / column["v80"][i] - 1) for i in kept]
r.expect("deviation", r.value(c, "mean deviation"), mean(e))
x = [column["t"][i] for i in kept]
low, high = min(x), max(x)
at, means = [], []
for k in range(10):
    group = [j for j, t in enumerate(x) if min(9, int((t - low) / (high - low) * 10)) == k]
    if len(group) >= 25:
        at.append(mean([x[j] for j in group]))
        means.append(mean([e[j] for j in group]))
row = r.column(c, "sensitivities", "condition").index("air temperature")
slope = line(at, means)[0]
r.expect("bins", r.column(c, "sensitivities", "bins")[row], len(at))
r.expect("slope", r.column(c, "sensitivities", "slope, % per unit")[row], slope, 1e-9)
r.expect("correlation", r.column(c, "sensitivities", "correlation")[row], correlation(at, means), 1e-9)
r.expect("sensitivity", r.column(c, "sensitivities", "sensitivity")[row], slope * sd(x), 1e-9)
r.expect("marked", r.column(c, "sensitivities", "marked")[row],
         "yes" if abs(slope * sd(x)) >= 0.5 or abs(slope * sd(x) * correlation(at, means)) >= 0.1 else "no")
# ---- clock and availability: the unit's channel beside the primary cup, or at a height ----------
r.expect("clock", r.value("clock", "whole lag"), 0)
there = [i for i in range(N) if column["s80"][i] is not None]
valid = [i for i in there if column["there"][i] >= 0.8]
r.expect("unit on", r.value("at_80", "system availability, of the calendar"), 100 * len(there) / N)
r.expect("valid data", r.value("at_80", "valid data, of the calendar"), 100 * len(valid) / N)
r.expect("of those on", r.value("at_80", "valid data, of the intervals with the unit on"),
         100 * len(valid) / len(there))
# at 40 m there are neither counts nor shares: what is not known is not tested, and decides nothing
r.expect("on at 40 m", r.value("at_40", "system availability, of the calendar"), 100)
r.expect("outcomes at 40 m", sorted(q["name"] + ": " + q["outcome"] for q in r.checks["at_40"]["requirements"]),
         ["system_availability: pass", "valid_availability: not tested"])
if "valid data are not tested" not in r.notes("at_40"):
    r.faults.append(f"at 40 m it is not said that samples are not known: {r.notes('at_40')}")
r.end("eight checks")
