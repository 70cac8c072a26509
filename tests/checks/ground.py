#!/usr/bin/env python3
"""The check wind_field on a profiler with five beams and a known wind, against the same numbers
computed here: normal equations of three unknowns by Cramer's rule, sums by fsum.

    ground.py WINDASSAY FOLDER     FOLDER: where data and dossier go
"""
import math
import pathlib
import shutil
import subprocess
import sys

from invented import Numbers, Record, by_bin, mean, scripts_folder, sd, stamp, through_origin, turn, write

windassay, folder = sys.argv[1], pathlib.Path(sys.argv[2])
folder.mkdir(parents=True, exist_ok=True)
shutil.copy(scripts_folder() / "ground.lua", folder / "campaign.lua")
N, random, ZENITH = 720, Numbers(434), 28
BEAMS = [(0, 62), (90, 62), (180, 62), (270, 62), (0, 90)]


def vector(azimuth, elevation, tilt=0.0, roll=0.0):
    """East, north, up in the unit's own axes, north its mark: tilt raises the north beam, roll lowers the east one
    (forward, left, up; first the roll about forward, then the tilt about left)."""
    a, e, p, q = (math.radians(x) for x in (azimuth, elevation, tilt, roll))
    forward, left, up = math.cos(a) * math.cos(e), -math.sin(a) * math.cos(e), math.sin(e)
    left, up = left * math.cos(q) - up * math.sin(q), left * math.sin(q) + up * math.cos(q)
    forward, up = forward * math.cos(p) - up * math.sin(p), forward * math.sin(p) + up * math.cos(p)
    return -left, forward, up


def blows(speed, from_direction, upward):
    a = math.radians(from_direction)
    return -speed * math.sin(a), -speed * math.cos(a), upward


mast, rows, slow, course = [], [], 0.0, 200.0
for i in range(N):
    slow = 0.95 * slow + random.normal(0.8)
    v = abs(9 + slow) + 1
    course = (course + random.normal(8)) % 360
    mast.append({"v": v, "low": 0.88 * v, "d": course})
    wind = blows(1.004 * v, course - 31.5 + random.normal(0.5), 0.1)
    tilt, roll = 0.8 + random.normal(0.02), -0.5 + random.normal(0.02)
    row = [float(f"{tilt:.4f}"), float(f"{roll:.4f}")]
    for beam in BEAMS:
        row.append(math.fsum(n * x for n, x in zip(vector(*beam, tilt, roll), wind)) + random.normal(0.03))
    rows.append(row)
for i in range(100, 105):
    rows[i][3] = None                       # one beam gone: the others do
for i in range(200, 203):
    rows[i][2] = rows[i][4] = None          # what is left lies in one plane: no answer
for i in range(300, 302):
    rows[i][2:5] = [None, None, None]       # two beams, three unknowns
write(folder / "mast.csv", mast)
with open(folder / "beams.csv", "w", encoding="utf-8") as f:
    f.write("time,beam,range,speed,tilt,roll\n")
    for i, row in enumerate(rows):
        for k in range(5):
            if row[k + 2] is not None:
                f.write(f"{stamp(i)},{k + 1},90,{-row[k + 2]:.5f},{row[0]:.4f},{row[1]:.4f}\n")
                row[k + 2] = float(f"{row[k + 2]:.5f}")


def det(m):
    return math.fsum((m[0][0] * m[1][1] * m[2][2], m[0][1] * m[1][2] * m[2][0], m[0][2] * m[1][0] * m[2][1],
                      -m[0][2] * m[1][1] * m[2][0], -m[0][0] * m[1][2] * m[2][1], -m[0][1] * m[1][0] * m[2][2]))


def solve(vectors, speeds):
    """The wind of the beams that have a speed, and the rows of G; None where they do not determine it."""
    have = [(n, s) for n, s in zip(vectors, speeds) if s is not None]
    a = [[math.fsum(n[i] * n[j] for n, _ in have) for j in range(3)] for i in range(3)]
    whole = det(a)
    if abs(whole) < 1e-9:
        return None

    def cramer(b):
        return [det([[b[i] if j == k else a[i][j] for j in range(3)] for i in range(3)]) / whole for k in range(3)]

    wind = cramer([math.fsum(n[i] * s for n, s in have) for i in range(3)])
    return wind, [cramer(n) for n, _ in have]


def from_of(wind):
    return math.degrees(math.atan2(-wind[0], -wind[1])) % 360


r, c = Record(windassay, folder / "campaign.lua"), "wind_field"
kept, speed, off, up = [], [], [], []
for i, row in enumerate(rows):
    answer = solve([vector(*beam, row[0], row[1]) for beam in BEAMS], row[2:])
    if answer is None:
        continue
    kept.append(i)
    speed.append(math.hypot(answer[0][0], answer[0][1]))
    off.append(turn(from_of(answer[0]) + 30, mast[i]["d"]))
    up.append(answer[0][2])
v = [mast[i]["v"] for i in kept]
assert len(kept) == N - 5
r.expect("records", r.value(c, "records compared"), len(kept))
r.expect("dropped", r.value(c, "records with a beam dropped"), 5)
r.expect("vertical wind", r.value(c, "vertical wind, mean"), mean(up), 1e-9)
assert abs(mean(up) - 0.1) < 0.01
reasons = {e["reason"]: e["intervals"] for e in r.checks[c]["exclusions"]}
r.expect("in one plane", reasons.get("unit: the beams left do not determine the wind"), 3)
r.expect("two beams", reasons.get("unit: fewer beams than unknowns"), 2)
if any("axis" in reason for reason in reasons):
    r.faults.append("a profiler has no sector ahead")
bins = dict(width=1, lowest=4, highest=16, at_least=3)
d = [s - w for s, w in zip(speed, v)]
vb, db, sb = by_bin(v, v, **bins, f=mean), by_bin(v, d, **bins, f=mean), by_bin(v, speed, **bins, f=mean)
r.expect("deviation", r.column(c, "speed by bin", "deviation"), db, 1e-9)
good = [k for k, x in enumerate(vb) if x is not None]
slope = through_origin([vb[k] for k in good], [vb[k] + db[k] for k in good])
r.expect("slope", r.value(c, "forced slope of speed, bin means"), slope)
assert abs(slope - 1.004) < 0.002
x, y = math.fsum(math.cos(math.radians(a)) for a in off), math.fsum(math.sin(math.radians(a)) for a in off)
offset = math.degrees(math.atan2(y, x))
r.expect("offset", r.value(c, "wind direction, mean difference"), offset, 1e-9)
assert abs(offset + 1.5) < 0.1              # the unit points to 31.5 where 30 is stated

# ---- the budget, bin by bin -----------------------------------------------------------------------
# Twelve directions; the beams stand level, so that speed and direction are those of the horizontal
# equations alone: shared counts whole and turns nothing, the zenith angle goes as 1 / sin.
level = [vector(*beam) for beam in BEAMS]
own_part, own_angle = [], []
for k in range(12):
    wind = blows(1, 30 * k + 15, 0)
    los = [math.fsum(n * q for n, q in zip(beam, wind)) for beam in level]
    _, g = solve(level, los)
    to_speed = [wind[0] * row[0] + wind[1] * row[1] for row in g]
    to_angle = [math.degrees(wind[0] * row[1] - wind[1] * row[0]) for row in g]
    own_part.append(math.fsum((t * s * 0.0017) ** 2 for t, s in zip(to_speed, los)))
    own_angle.append(math.fsum((t * s * 0.0017) ** 2 for t, s in zip(to_angle, los)))
own, angle = math.sqrt(mean(own_part)), math.sqrt(mean(own_angle))
z = math.radians(ZENITH)
opening = math.radians(0.1) / math.tan(z)
combined, scatter = [], by_bin(v, d, **bins, f=lambda q: sd(q) / math.sqrt(len(q)))
for k, centre in enumerate(vb):
    if centre is None:
        combined.append(None)
        continue
    cup = [0.05, (0.05 + 0.005 * centre) * 1.2 / math.sqrt(3), 0.005 * centre, 0.01]
    parts = [0.01 * sb[k], own * sb[k], opening * sb[k], scatter[k]]
    combined.append(math.sqrt(math.fsum(q * q for q in parts + cup)))
r.expect("combined", r.column(c, "uncertainty of the speed deviation", "combined"), combined, 1e-6)
table = "uncertainty of the wind direction"
r.expect("own part of the direction", [q for q in r.column(c, table, "line-of-sight speeds, each beam's own") if q is not None],
         [angle] * len(good), 1e-9)
r.expect("shared part of the direction", [q for q in r.column(c, table, "line-of-sight speeds, shared by the beams")
                                          if q is not None], [0] * len(good), 1e-9)
r.expect("u of the offset", r.u(c, "wind direction, mean difference"),
         math.sqrt(0.5 ** 2 + 0.6 ** 2 + 0.4 ** 2 + angle ** 2), 2e-3)
names = {q["name"]: q["value"] for q in r.checks[c]["requirements"]}
r.expect("required", names.get("direction_offset"), abs(offset), 1e-9)

# ---- the heading not stated; what cannot be answered -------------------------------------------------
text = (folder / "campaign.lua").read_text(encoding="utf-8")
(folder / "fitted.lua").write_text(text.replace(', heading = { 30, "degree", u = 0.5 }', ""), encoding="utf-8")
fitted = Record(windassay, folder / "fitted.lua")
heading = fitted.value(c, "heading of the unit")
if not abs(heading - 31.5) < 0.1 or "direction offset is not tested" not in fitted.notes(c):
    r.faults.append(f"the heading is fitted as {heading}: {fitted.notes(c)}")
r.faults += fitted.faults


def refused(what, text_, reason):
    (folder / "refused.lua").write_text(text_, encoding="utf-8")
    done = subprocess.run([windassay, "run", folder / "refused.lua", "--json", "--replace"], capture_output=True,
                          text=True, check=False)
    if reason not in done.stdout + done.stderr:
        r.faults.append(f"{what}: not refused as '{reason}'")


in_plane = text.replace("azimuth = 90", "azimuth = 0").replace("azimuth = 270", "azimuth = 180")
refused("beams in one plane", in_plane, "the directions of the 5 beams leave a component of the wind open")
refused("a shear model", text.replace('frame = "earth"', 'frame = "earth", model = "shear"'), "of a nacelle unit")
refused("another frame", text.replace('frame = "earth"', 'frame = "sky"'), "frame is ")
r.end("wind_field of a profiler")
