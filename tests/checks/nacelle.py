#!/usr/bin/env python3
"""The check wind_field on an invented campaign with a known wind, against the same numbers computed
here: normal equations of two unknowns written out, sums by fsum.

    nacelle.py WINDASSAY FOLDER     FOLDER: where data and dossier go
"""
import math
import pathlib
import shutil
import sys

from invented import Numbers, Record, by_bin, mean, scripts_folder, sd, stamp, through_origin, turn, write

windassay, folder = sys.argv[1], pathlib.Path(sys.argv[2])
folder.mkdir(parents=True, exist_ok=True)
shutil.copy(scripts_folder() / "nacelle.lua", folder / "campaign.lua")
N, random = 720, Numbers(422)
BEAMS = [(15, 5), (-15, 5), (15, -5), (-15, -5)]


def vector(azimuth, elevation, tilt):
    """x upwind, y left; tilt raises x."""
    b, e, p = (math.radians(a) for a in (azimuth, elevation, tilt))
    x, y, z = math.cos(b) * math.cos(e), math.sin(b) * math.cos(e), math.sin(e)
    return x * math.cos(p) - z * math.sin(p), y


mast, rows, slow, course = [], [], 0.0, 240.0
for i in range(N):
    slow = 0.95 * slow + random.normal(0.8)
    v = abs(9 + slow) + 1
    course = 240 + 0.97 * (course - 240) + random.normal(4)
    mast.append({"v": v, "d": course % 360, "d_sd": 4 + 2 * (i % 2)})
    gamma = math.radians(241.2 - course + random.normal(0.5))
    tilt = 1 + random.normal(0.05)
    row = [float(f"{tilt:.4f}")]
    for azimuth, elevation in BEAMS:
        x, y = vector(azimuth, elevation, tilt)
        row.append(1.005 * v * (x * math.cos(gamma) + y * math.sin(gamma)) + random.normal(0.05))
    rows.append(row)
for i in range(100, 105):
    rows[i][2] = None                       # one beam gone: the others do
for i in range(200, 203):
    rows[i][1:] = [None, None, None, rows[i][4]]  # three gone: no answer
write(folder / "mast.csv", mast)
with open(folder / "beams.csv", "w", encoding="utf-8") as f:
    f.write("time,beam,range,speed,tilt,flags\n")
    for i, row in enumerate(rows):
        for k in range(4):
            if row[k + 1] is not None:
                f.write(f"{stamp(i)},{k + 1},240,{-row[k + 1]:.4f},{row[0]:.4f},"
                        f"{1 if 300 <= i < 306 else 8 if i < 3 else 0}\n")
                row[k + 1] = float(f"{row[k + 1]:.4f}")


def solve(speeds, tilt):
    """u, v and the inverse normal matrix of the beams that have a speed; None with fewer than 2."""
    have = [(vector(*b, tilt), s) for b, s in zip(BEAMS, speeds) if s is not None]
    if len(have) < 2:
        return None
    a, b, c = (math.fsum(n[i] * n[j] for n, _ in have) for i, j in ((0, 0), (0, 1), (1, 1)))
    p, q = (math.fsum(n[i] * s for n, s in have) for i in (0, 1))
    det = a * c - b * b
    return (c * p - b * q) / det, (a * q - b * p) / det, have, (c / det, -b / det, a / det)


r, c = Record(windassay, folder / "campaign.lua"), "wind_field"
kept, speed, off = [], [], []
for i, row in enumerate(rows):
    answer = solve(row[1:], row[0])
    expected = turn(240, mast[i]["d"])
    if answer is None or abs(expected) > 40:
        continue
    kept.append(i)
    speed.append(math.hypot(answer[0], answer[1]))
    off.append(turn(math.degrees(math.atan2(answer[1], answer[0])), expected))
v = [mast[i]["v"] for i in kept]
assert 500 < len(kept) < 717
r.expect("records", r.value(c, "records compared"), len(kept))
spread = math.radians(mean([mast[i]["d_sd"] for i in kept]))
r.expect("vector mean", r.value(c, "vector by scalar mean, expected"), math.exp(-spread ** 2 / 2))
r.expect("dropped", r.value(c, "records with a beam dropped"), 5)
bins = dict(width=1, lowest=4, highest=16, at_least=3)
d = [s - w for s, w in zip(speed, v)]
count = by_bin(v, v, 1, 4, 16, 0, len)
vb, db = by_bin(v, v, **bins, f=mean), by_bin(v, d, **bins, f=mean)
r.expect("deviation", r.column(c, "speed by bin", "deviation"), db, 1e-9)
good = [k for k, x in enumerate(vb) if x is not None]
slope = through_origin([vb[k] for k in good], [vb[k] + db[k] for k in good])
r.expect("slope", r.value(c, "forced slope of speed, bin means"), slope)
assert abs(slope - 1.005) < 0.002
x, y = math.fsum(math.cos(math.radians(a)) for a in off), math.fsum(math.sin(math.radians(a)) for a in off)
r.expect("yaw offset", r.value(c, "yaw misalignment, mean difference"), math.degrees(math.atan2(y, x)), 1e-9)
assert abs(math.degrees(math.atan2(y, x)) - 1.2) < 0.1


# ---- the budget of the speed, bin by bin ----------------------------------------------------------
def u_of(los, shared, own):
    """Standard uncertainty of speed and direction by G U G', rows of G written out."""
    a, b, have, (uu, uv, vv) = solve(los, tilt_mean)
    g = [(uu * n[0] + uv * n[1], uv * n[0] + vv * n[1]) for n, _ in have]
    speed_ = math.hypot(a, b)
    to_speed = [(p * a + q * b) / speed_ for p, q in g]
    to_angle = [math.degrees((q * a - p * b) / speed_ ** 2) for p, q in g]
    found = []
    for t in (to_speed, to_angle):
        found.append((abs(math.fsum(w * s * shared for w, (_, s) in zip(t, have))),
                      math.sqrt(math.fsum((w * s * own) ** 2 for w, (_, s) in zip(t, have)))))
    return found


tilt_mean = mean([rows[i][0] for i in kept])
combined, angles, both_cups = [], [], 0
for k, centre in enumerate(vb):
    if centre is None:
        combined.append(None)
        continue
    group = [i for i in kept if 3.5 + k <= mast[i]["v"] < 4.5 + k]
    los = [mean([rows[i][b + 1] for i in group if rows[i][b + 1] is not None]) for b in range(4)]
    (shared, own), angle = u_of(los, 0.01, 0.0017)
    by_open, by_tilt = [], []
    speeds = {}
    for name, open_, tilt in (("o+", 0.01, 0), ("o-", -0.01, 0), ("t+", 0, 0.01), ("t-", 0, -0.01)):
        keep = BEAMS[:]
        BEAMS[:] = [(a + math.copysign(open_, a) if open_ >= 0 else a - math.copysign(-open_, a), e) for a, e in keep]
        answer = solve(los, tilt_mean + tilt)
        BEAMS[:] = keep
        speeds[name] = math.hypot(answer[0], answer[1])
    opening = abs(speeds["o+"] - speeds["o-"]) / 0.02 * 0.1
    tilting = abs(speeds["t+"] - speeds["t-"]) / 0.02 * 0.05
    # two cups, one after another: certificates by their share of the records, fully correlated
    later = sum(i >= 360 for i in group) / len(group)
    both_cups += 0 < later < 1
    cup = [(1 - later) * 0.05 + later * (0.10 + 0.01 * (max(4, min(14, centre)) - 4)), (0.05 + 0.005 * centre) * 1.2 / math.sqrt(3), 0.005 * centre, 0.01]
    scatter = sd([d[j] for j, i in enumerate(kept) if i in set(group)]) / math.sqrt(len(group))
    combined.append(math.sqrt(math.fsum(q * q for q in [shared, own, opening, tilting, scatter] + cup)))
    angles.append(angle)
assert both_cups > 5
table = "uncertainty of the speed deviation"
r.expect("combined", r.column(c, table, "combined"), combined, 1e-7)
r.expect("shared part of the direction", [x for x in r.column(
    c, "uncertainty of the yaw misalignment", "line-of-sight speeds, shared by the beams") if x is not None],
    [a[0] for a in angles], 1e-9)
r.expect("own part of the direction", [x for x in r.column(
    c, "uncertainty of the yaw misalignment", "line-of-sight speeds, each beam's own") if x is not None],
    [a[1] for a in angles], 1e-9)
u = r.u(c, "yaw misalignment, mean difference")
if not 0.8 < u < 1.2:                       # heading 0.5, vane 0.6 and 0.4, and little else
    r.faults.append(f"u of the yaw offset is {u}")
# ---- a reference that scatters by itself -----------------------------------------------------------
# The same files: the cup is called a lidar, and bins are those of the adjusted speed.
U_REF, U_LOS = 0.3, 0.25


def forced(x_, y_, ux, uy):
    """York through the origin: where the derivative of chi squared is 0."""
    low, high = 0.8, 1.2
    for _ in range(60):
        b = (low + high) / 2
        slope_ = math.fsum(-p * (q - b * p) / (f * f + (b * ux) ** 2)
                           - (q - b * p) ** 2 * b * ux * ux / (f * f + (b * ux) ** 2) ** 2
                           for p, q, f in zip(x_, y_, uy))
        low, high = (b, high) if slope_ < 0 else (low, b)
    return (low + high) / 2


text = (folder / "campaign.lua").read_text(encoding="utf-8")
cup_lidar = 'cup = { kind = "lidar", class = { 1.2, "%" }, mounting = { 0.5, "%" }, repeatability = { 0.3, "m/s" }, fitted = { {'
text = text.replace('cup = { class = "1.2A", mounting = { 0.5, "%" }, data_acquisition = { 0.01, "m/s" }, fitted = { {', cup_lidar)
text = text.replace("instruments = {", """instruments = {
    own = { kind = "lidar", repeatability = { 0.25, "m/s" }, fitted = { {
      serial = "NL-0432", from = "2025-11-03T00:00:00Z" } } },""")
text = text.replace('positive = "away" }', 'positive = "away", instrument = "own" }')
(folder / "neighbour.lua").write_text(text, encoding="utf-8")
beside = Record(windassay, folder / "neighbour.lua")
u_y = []
for j, i in enumerate(kept):
    a, b, have, (uu, uv, vv) = solve(rows[i][1:], rows[i][0])
    u_y.append(U_LOS * math.sqrt(math.fsum(((((uu * n[0] + uv * n[1]) * a + (uv * n[0] + vv * n[1]) * b) / speed[j]) ** 2)
                                           for n, _ in have)))
b = forced(v, speed, U_REF, u_y)
key = [p + (q - b * p) * b * U_REF ** 2 / (f * f + (b * U_REF) ** 2) for p, q, f in zip(v, speed, u_y)]
kv, kd = by_bin(key, v, **bins, f=mean), by_bin(key, d, **bins, f=mean)
beside.expect("adjusted bins", beside.column(c, "speed by bin", "deviation"), kd, 1e-9)
good = [k for k, q in enumerate(kv) if q is not None]
beside.expect("York", beside.value(c, "forced slope, errors on both axes"), b, 1e-9)
beside.expect("slope beside a lidar", beside.value(c, "forced slope of speed, bin means"),
              through_origin([kv[k] for k in good], [kv[k] + kd[k] for k in good]))
if "their means decide" not in beside.notes(c):
    r.faults.append(f"beside a lidar: {beside.notes(c)}")
r.faults += beside.faults

# ---- status of the unit ---------------------------------------------------------------------------
r.expect("status", r.column("environment", "status", "status"), ["warming up", "window wet"])
r.expect("hours of status", r.column("environment", "status", "hours in which it occurred"), [0.5, 1])
r.expect("share of status", r.column("environment", "status", "mean share of the samples"), [300 / N, 600 / N])
r.expect("tilt", r.value("environment", "hours outside, tilt"), 0)

# ---- other ways in --------------------------------------------------------------------------------
# The invented wind has no shear: solved for, it changes little.
shear = r.value("shear", "forced slope of speed, records")
if not abs(shear - 1.005) < 0.003:
    r.faults.append(f"with shear the slope is {shear}")
text = (folder / "campaign.lua").read_text(encoding="utf-8")
(folder / "fitted.lua").write_text(text.replace('heading = { 240, "degree", u = 0.5 },', ""), encoding="utf-8")
fitted = Record(windassay, folder / "fitted.lua")
heading = fitted.value(c, "heading of the axis")
if not abs(heading - 241.2) < 0.1 or "the yaw offset is not tested" not in fitted.notes(c):
    r.faults.append(f"the heading is fitted as {heading}: {fitted.notes(c)}")
if "yaw_offset" in [q["name"] for q in fitted.checks[c]["requirements"]]:
    r.faults.append("a fitted heading is tested")
r.faults += fitted.faults
# The sign of the speeds stated the wrong way round: the wind comes from behind, and that is said.
(folder / "turned.lua").write_text(text.replace('positive = "away"', 'positive = "towards"'), encoding="utf-8")
turned = Record(windassay, folder / "turned.lua")
if "is `positive` of its line-of-sight speeds right" not in turned.notes(c) or "`positive`" in r.notes(c):
    r.faults.append(f"of the wrong sign it is said: {turned.notes(c)}")
r.faults += turned.faults
r.end("wind_field")
