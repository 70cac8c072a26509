#!/usr/bin/env python3
"""A lidar as the reference, at two heights: its own acceptance beside a mast, then a unit beside it,
against the same numbers computed here by their definitions and against the planted truth.

    neighbour.py WINDASSAY FOLDER     FOLDER: where data and dossiers go
"""
import hashlib
import math
import pathlib
import shutil
import sys

from invented import Numbers, Record, by_bin, mean, rms, scripts_folder, sd, through_origin, turn, write

windassay, folder = sys.argv[1], pathlib.Path(sys.argv[2])
folder.mkdir(parents=True, exist_ok=True)
shutil.copy(scripts_folder() / "accepted.lua", folder / "accepted.lua")
N, random = 1440, Numbers(433)


def wind():
    """Speeds and directions of ten days."""
    slow, course = 0.0, 200.0
    for _ in range(N):
        slow = 0.97 * slow + random.normal(0.6)
        course = (course + random.normal(6)) % 360
        yield abs(9 + slow) + 0.5, course


# ---- the reference's own acceptance ---------------------------------------------------------------
mast, other = [], []
for v, course in wind():
    mast.append({"v": v, "d": course})
    other.append({"s": 1.006 * v + random.normal(0.15), "e": (course + 0.8 + random.normal(1)) % 360})
write(folder / "accepted_mast.csv", mast)
write(folder / "accepted_unit.csv", other)
first = Record(windassay, folder / "accepted.lua")
digest = hashlib.sha256((folder / "accepted.dossier/data/result.json").read_bytes()).hexdigest()

gain = next(q["value"] for q in first.checks["speed"]["requirements"] if q["name"] == "slope_bin_means")
assert abs(gain - 1.006) < 0.002
offset = next(q for q in first.checks["direction"]["requirements"] if q["name"] == "offset")
spread = sd([turn(o["e"], m["d"]) for o, m in zip(other, mast)])
first.expect("offset", offset["value"], mean([turn(o["e"], m["d"]) for o, m in zip(other, mast)]), 1e-3)
first.expect("its u", offset["u"], math.sqrt(0.6 ** 2 + 0.4 ** 2 + (spread / math.sqrt(N)) ** 2), 2e-3)
acceptance = []   # centre, u of the corrected speed
for centre, u, d, v in zip(first.column("speed", "uncertainty by bin", "centre"),
                           first.column("speed", "uncertainty by bin", "combined"),
                           first.column("speed", "by bin", "deviation"),
                           first.column("speed", "by bin", "reference mean")):
    if u is not None:
        acceptance.append((centre, math.sqrt((u * u - d * d) / gain ** 2 + ((v + d) / gain - v) ** 2)))


def accepted(x):
    """Linear between the bins, the nearest beyond them."""
    if x <= acceptance[0][0]:
        return acceptance[0][1]
    for (a, ua), (b, ub) in zip(acceptance, acceptance[1:]):
        if x <= b:
            return ua + (ub - ua) * (x - a) / (b - a)
    return acceptance[-1][1]


# ---- the unit beside it -----------------------------------------------------------------------------
SLOPE, U_Y = {80: 1.012, 40: 0.995}, 0.2
unit, neighbour = [], []
for i, (v, course) in enumerate(wind()):
    low = v * 0.5 ** 0.18
    unit.append({"s80": SLOPE[80] * v + random.normal(U_Y), "s80_sd": 0.1 * v + abs(random.normal(0.05)),
                 "s40": SLOPE[40] * low + random.normal(U_Y), "e": (course + 1.5 + random.normal(1)) % 360})
    neighbour.append({"v80": gain * v * (1 + random.normal(0.03)), "v80_sd": 0.1 * v + abs(random.normal(0.05)),
                      "v40": gain * low * (1 + random.normal(0.03)), "d": (course + random.normal(1)) % 360,
                      "there": 1 if i % 60 else 0.5})
write(folder / "unit.csv", unit)
write(folder / "neighbour.csv", neighbour)
text = (scripts_folder() / "neighbour.lua").read_text(encoding="utf-8").replace("DIGEST", digest)
(folder / "neighbour.lua").write_text(text, encoding="utf-8")
r = Record(windassay, folder / "neighbour.lua")
r.faults += first.faults


def york(x, y, ux, uy):
    """The forced slope: where the derivative of chi squared is 0."""
    def derivative(b):
        total = []
        for p, q, e, f in zip(x, y, ux, uy):
            rest, var = q - b * p, f * f + (b * e) ** 2
            total.append(-p * rest / var - rest * rest * b * e * e / var ** 2)
        return math.fsum(total)
    low, high = 0.9, 1.1
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if derivative(middle) < 0 else (low, middle)
    return (low + high) / 2


def adjusted(x, y, ux, uy):
    b = york(x, y, ux, uy)
    return b, [p + (q - b * p) * b * e * e / (f * f + (b * e) ** 2) for p, q, e, f in zip(x, y, ux, uy)]


def requirement(check, name):
    return next(q for q in r.checks[check]["requirements"] if q["name"] == name)


for height, lowest, highest in ((80, 5, 14), (40, 5, 12)):
    c = f"at_{height}"
    kept = [i for i in range(N) if height == 40 or neighbour[i]["there"] >= 0.8]
    x = [neighbour[i][f"v{height}"] / gain for i in kept]
    y = [unit[i][f"s{height}"] for i in kept]
    uy = [U_Y] * len(x)
    _, key = adjusted(x, y, [0.03 * p for p in x], uy)
    ux = [0.03 * p for p in key]
    _, key = adjusted(x, y, ux, uy)
    bins = dict(width=1, lowest=lowest, highest=highest, at_least=3)
    inside = [j for j, k in enumerate(key) if lowest - 0.5 <= k < highest + 0.5]
    slope = york(*([column[j] for j in inside] for column in (x, y, ux, uy)))
    r.expect("records", r.value(c, "records compared"), len(inside))
    r.expect("york", r.value(c, "forced slope, errors on both axes"), slope, 1e-12)
    r.expect("required", requirement(c, "slope_records")["value"], slope, 1e-12)
    ordinary = through_origin([x[j] for j in inside], [y[j] for j in inside])
    r.expect("ordinary", r.value(c, "forced slope, records"), ordinary)
    r.expect("counts", r.column(c, "by bin", "count"), by_bin(key, key, 1, lowest, highest, 0, len))
    d = [q - p for p, q in zip(x, y)]
    xb, db = by_bin(key, x, **bins, f=mean), by_bin(key, d, **bins, f=mean)
    r.expect("deviation", r.column(c, "by bin", "deviation"), db)
    r.expect("bin means", requirement(c, "slope_bin_means")["value"],
             through_origin(xb, [p + q for p, q in zip(xb, db)]))
    stat = by_bin(key, d, **bins, f=lambda g: sd(g) / math.sqrt(len(g)))
    combined = [math.sqrt(accepted(v) ** 2 + v * v * (0.012 ** 2 / 3 + 0.001 ** 2 + 0.001 ** 2 + 0.005 ** 2) + s * s + q * q)
                for v, s, q in zip(xb, stat, db)]
    r.expect("combined", r.column(c, "uncertainty by bin", "combined"), combined, 1e-9)
    weight = [v * v * n for v, n in zip(xb, by_bin(key, key, 1, lowest, highest, 0, len))]
    shares = [0.012 / math.sqrt(3), 0.001, 0.001, 0.005]
    shares.append(math.fsum(w * accepted(v) / v for w, v in zip(weight, xb)) / math.fsum(weight))
    shares.append(math.sqrt(math.fsum((w * s / v) ** 2 for w, s, v in zip(weight, stat, xb))) / math.fsum(weight))
    r.expect("u of the slope", requirement(c, "slope_records")["u"], math.sqrt(math.fsum(s * s for s in shares)), 1e-9)
    # the truth: within 2 u of what decides, and the noise alone puts the ordinary slope beside it
    u_fit = r.u(c, "forced slope, errors on both axes")
    if not (abs(slope - SLOPE[height]) < 2 * u_fit and u_fit < 0.002):
        r.faults.append(f"at {height} m: {slope} +- {u_fit}, planted is {SLOPE[height]}")
    r.expect("scatter", r.value(c, "scatter by what is stated"), 1, 0.06)
    if "errors on both axes decides" not in r.notes(c) or "alike" not in r.notes(c):
        r.faults.append(f"{c} does not say what decides: {r.notes(c)}")

# ---- over the heights ---------------------------------------------------------------------------------
r.expect("heights", r.column("heights", "by height", "height"), [40, 80])
r.expect("entries", r.column("heights", "by height", "entry"), ["at_40", "at_80"])
for row, height in enumerate((40, 80)):
    q = requirement(f"at_{height}", "slope_bin_means")
    r.expect("slope", r.column("heights", "by height", "slope of the bin means")[row], q["value"], 0)
    r.expect("its u", r.column("heights", "by height", "standard uncertainty")[row], q["u"], 0)
for table, name in (("by bin", "deviation"), ("uncertainty by bin", "combined")):
    low, high = ({k: v for k, v in zip(r.column(f"at_{h}", table, "centre"), r.column(f"at_{h}", table, name))
                  if v is not None} for h in (40, 80))
    both = sorted(set(low) & set(high))
    r.expect(name, r.column("heights", "at 50 m", "deviation" if name == "deviation" else "standard uncertainty"),
             [0.75 * low[k] + 0.25 * high[k] for k in both], 1e-14)
beyond = r.checks["beyond"]
if "40 to 80 m: nothing is extrapolated" not in beyond.get("reason", ""):
    r.faults.append(f"beyond the heights: {beyond}")
r.faults = [f for f in r.faults if not f.startswith("beyond: ")]

# ---- direction and turbulence -----------------------------------------------------------------------
c = "wind_direction_comparison"
kept = [i for i in range(N) if 2 <= neighbour[i]["v80"]]
off = [turn(unit[i]["e"], neighbour[i]["d"]) for i in kept]
whole = math.sqrt(0.5 ** 2 + offset["value"] ** 2 + offset["u"] ** 2)
r.expect("u of the offset", requirement(c, "offset")["u"], whole, 0.005)
if abs(requirement(c, "offset")["value"] - 1.5) > 0.15 or "scatter_only" in requirement(c, "offset"):
    r.faults.append(f"the offset: {requirement(c, 'offset')}")
if abs(requirement(c, "slope")["value"] - 1) > 2 * requirement(c, "slope")["u"] + 0.001:
    r.faults.append(f"the slope of directions: {requirement(c, 'slope')}")
assert rms(off) > 0
if "agree does not say" not in r.notes("turbulence") or r.value("turbulence", "Deming slope of sd") is None:
    r.faults.append("turbulence does not say that its reference is a lidar")

# ---- what is not stated ------------------------------------------------------------------------------
(folder / "silent.lua").write_text(text.replace("own.repeatability = { 0.2, \"m/s\" }", ""), encoding="utf-8")
silent = Record(windassay, folder / "silent.lua")
reasons = silent.checks["at_80"].get("reason", "")
if "instruments.own.repeatability" not in reasons or "neighbour" in reasons:
    r.faults.append(f"an unknown repeatability: {reasons!r}")
r.end("a lidar as the reference")
