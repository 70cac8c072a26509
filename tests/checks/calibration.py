#!/usr/bin/env python3
"""wind_field with a calibration of the beams: the line-of-sight speeds of nacelle.py, each times a gain of
its own, and a calibration that holds these gains, must give what the speeds give without either.

    calibration.py WINDASSAY FOLDER     FOLDER: where data and dossiers go
"""
import csv
import hashlib
import json
import math
import pathlib
import subprocess
import sys

windassay, folder = sys.argv[1], pathlib.Path(sys.argv[2])
here = pathlib.Path(__file__).parent
subprocess.run([sys.executable, here / "nacelle.py", windassay, folder], check=True, stdout=subprocess.DEVNULL)
GAINS = [1.05, 1.03, 1.04, 1.02]
U_CUP, U_OWN = 0.011, 0.003  # of the speed; exact in proportion, so that no bin matters

with open(folder / "beams.csv", encoding="utf-8") as f:
    rows = list(csv.reader(f))
head = rows[0]
with open(folder / "shown.csv", "w", encoding="utf-8") as f:
    f.write(",".join(head) + "\n")
    for row in rows[1:]:
        row[head.index("speed")] = repr(float(row[head.index("speed")]) * GAINS[int(row[head.index("beam")]) - 1])
        f.write(",".join(row) + "\n")


def entry(beam):
    references = [0.001, 1000]
    share = lambda u: [u * r for r in references]
    return {"check": f"los.beam_{beam}", "outcome": "pass", "name": f"los_speed of beam {beam} at 240 m",
            "quantity": "los_speed", "beam": beam, "range": 240, "unit": "m s-1", "gain": GAINS[beam - 1],
            "gain_u": math.hypot(U_CUP, U_OWN), "from": "2026-01-02T00:00:00Z", "to": "2026-01-20T00:00:00Z",
            "valid": [{"quantity": "los_speed", "lowest": 4, "highest": 11, "unit": "m s-1"}],
            "bins": [{"reference": r, "measured": r * GAINS[beam - 1], "records": 9, "u": r * math.hypot(U_CUP, U_OWN)}
                     for r in references],
            "components": [{"name": "u_cal", "kind": "B", "group": "cup", "u": share(U_CUP)},
                           {"name": "u_stat", "kind": "A", "u": share(U_OWN)}]}


text = json.dumps({"schema": "windassay-calibration-1",
                   "record": {"sha256": "0" * 64, "arithmetic": 1, "outcome": "pass", "title": "invented"},
                   "lidar": {"serial": "NL-0432"}, "calibrations": [entry(b) for b in (1, 2, 3, 4)],
                   "not_calibrated": []})
(folder / "calibration.json").write_text(text, encoding="utf-8")
digest = hashlib.sha256(text.encode()).hexdigest()
asked = (folder / "campaign.lua").read_text(encoding="utf-8")
checks = asked.index("  checks =")
takes = f'  calibrations = {{ {{ source = "lidar", file = "calibration.json", sha256 = "{digest}" }} }},\n'
plain = f'  checks = {{ {{ "wind_field", width = 1, u_shared = {100 * U_CUP}, u_own = {100 * U_OWN} }} }},\n}}\n'
(folder / "plain.lua").write_text(asked[:checks] + plain, encoding="utf-8")
(folder / "taken.lua").write_text((asked[:checks] + takes + plain).replace('"beams.csv"', '"shown.csv"'),
                                  encoding="utf-8")
excluding = plain.replace("width = 1,", 'width = 1, beyond_calibration = "exclude",')
(folder / "excluding.lua").write_text((asked[:checks] + takes + excluding).replace('"beams.csv"', '"shown.csv"'),
                                      encoding="utf-8")
(folder / "raw.lua").write_text((asked[:checks] + plain).replace('"beams.csv"', '"shown.csv"'), encoding="utf-8")

# A wind that `derive` makes of the beams is made before any calibration: the comparisons say it.
derived = """  derive = { wind_speed = reconstruct{ frame = "nacelle" }, wind_from_direction = reconstruct{ frame = "nacelle" } },
  checks = { { "wind_speed_comparison", hours = 10, highest = 12 }, { "wind_direction_comparison" } },
}
"""
(folder / "derived.lua").write_text(asked[:checks] + takes + derived, encoding="utf-8")
(folder / "without.lua").write_text(asked[:checks] + derived, encoding="utf-8")


def run(name):
    into = folder / name
    subprocess.run([windassay, "run", folder / f"{name}.lua", "--into", into, "--replace"], check=True,
                   stdout=subprocess.DEVNULL)
    record = json.loads((into / "data/result.json").read_text(encoding="utf-8"))
    check = record["checks"][0]
    assert check["status"] == "ran", check.get("reason")
    return record, check, {v["name"]: v for v in check["values"]}


def table(check, name):
    t = next(t for t in check["tables"] if t["name"] == name)
    names = [c["name"] for c in t["columns"]]
    return [dict(zip(names, row)) for row in t["rows"]]


plain, taken, raw, excluding = run("plain"), run("taken"), run("raw"), run("excluding")
worst = 0.0
for name in ("forced slope of speed, records", "forced slope of speed, bin means",
             "yaw misalignment, mean difference", "yaw misalignment, sd of the difference"):
    a, b = plain[2][name], taken[2][name]
    worst = max(worst, abs(a["value"] - b["value"]))
    if "u" in a:
        worst = max(worst, abs(a["u"] - b["u"]))
assert worst < 1e-12, worst
# Without the calibration it is far off: the gains matter.
slope = "forced slope of speed, bin means"
assert abs(raw[2][slope]["value"] / plain[2][slope]["value"] - 1.035) < 0.01
# The budget: bin by bin the same combined uncertainty, for it is made of the same two parts.
for t in ("uncertainty of the speed deviation", "uncertainty of the yaw misalignment"):
    for a, b in zip(table(plain[1], t), table(taken[1], t)):
        if a["combined"] is not None:
            assert abs(a["combined"] - b["combined"]) < 1e-12, (t, a, b)
groups = {row["component"]: row["group"] for row in table(taken[1], "components of the speed")}
assert "line-of-sight speeds, calibration: u_cal" in groups, groups
# What lies beyond is counted here from the table of the grid, over the intervals that were used.
with open(folder / "taken/data/intervals.csv", encoding="utf-8") as f:
    grid = list(csv.DictReader(f))
with open(folder / "taken/data/ledger.csv", encoding="utf-8") as f:
    ledger = [row["wind_field"] for row in csv.DictReader(f)]
kept = [g for g, state in zip(grid, ledger) if state in ("used", "records only", "outside")]
for row in table(taken[1], "validity of the calibration"):
    beam = int(row["calibration of"].split()[3])
    column = next(c for c in grid[0] if f"beam={beam}" in c and "los_speed" in c and ".mean" in c)
    speeds = [abs(float(g[column])) / GAINS[beam - 1] for g in kept if g[column] != ""]
    assert row["records beyond"] == sum(not 4 <= v <= 11 for v in speeds) > 0, row
    assert row["of records"] == len(kept)
out = [e for e in excluding[1]["exclusions"] if e["reason"] == "a beam beyond its calibrated speeds"]
assert len(out) == 1 and out[0]["only"] > 0
assert sum(row["records beyond"] for row in table(excluding[1], "validity of the calibration")) == 0
# The record says what was taken, and the dossier holds it.
said = taken[0]["calibrations"][0]
assert said["sha256"] == digest and said["serial"] == "NL-0432" and said["calibrations"] == 4, said
assert (folder / f"taken/data/given/calibration.{digest[:12]}.json").read_text(encoding="utf-8") == text
for name, said in (("derived", True), ("without", False)):
    for check in run(name)[0]["checks"]:
        assert check["status"] == "ran", check
        assert any("wind_field applies it" in note for note in check["notes"]) == said, (name, check["notes"])
print(f"calibration: speeds, angles and their u agree to {worst:.1g}")
