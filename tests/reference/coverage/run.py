#!/usr/bin/env python3
"""Do the stated intervals cover the truth? run.py PROGRAM [RUNS]

Simulated campaigns with known truth and fresh noise (seeds 1, 2, ...), each through
`windassay script coverage.lua`; an interval is value +- 2 u (k = 2, 95 %). Between 90 and 99 % of the
runs must cover the truth (acceptance of the practice issue; own simulation, independent Gaussian
noise: what the uncertainties state is the scatter, so nothing else is simulated)."""
import json
import math
import pathlib
import random
import subprocess
import sys
import tempfile

GAIN, DIRECTION, TILT = 1.0037, 286.4, 1.6
U, V = 9.6, 1.3  # of the wind: from ahead, from the left


def degrees(x):
    return math.radians(x)


def write(folder, seed):
    r = random.Random(seed)
    with open(folder / "beam.csv", "w", encoding="ascii") as f:
        f.write("speed,direction,los\n")
        for _ in range(400):
            speed, theta = r.uniform(4, 14), (DIRECTION + r.uniform(-38, 38)) % 360
            seen = speed * math.cos(degrees(TILT)) * math.cos(degrees(theta - DIRECTION))
            f.write(f"{speed!r},{theta!r},{GAIN * seen + r.gauss(0, 0.12)!r}\n")
    with open(folder / "wind.csv", "w", encoding="ascii") as f:
        c, s = math.cos(degrees(15)), math.sin(degrees(15))
        f.write("left,right\n")
        for _ in range(2):
            f.write(f"{U * c + V * s + r.gauss(0, .1)!r},{U * c - V * s + r.gauss(0, .1)!r}\n")


def main(program, runs=60):
    truth = {"gain": GAIN, "direction": DIRECTION, "speed": math.hypot(U, V),
             "yaw": math.degrees(math.atan2(V, U))}
    covered = dict.fromkeys(truth, 0)
    here = pathlib.Path(__file__).parent
    with tempfile.TemporaryDirectory() as temporary:
        folder = pathlib.Path(temporary)
        for seed in range(1, int(runs) + 1):
            write(folder, seed)
            done = subprocess.run([program, "script", here / "coverage.lua", "--json",
                                   "--data", f"beam={folder / 'beam.csv'}",
                                   "--data", f"wind={folder / 'wind.csv'}"],
                                  capture_output=True, check=False, text=True)
            if done.returncode:
                print(done.stdout, done.stderr)
                return 1
            for v in json.loads(done.stdout)["checks"][0]["values"]:
                covered[v["name"]] += abs(v["value"] - truth[v["name"]]) <= 2 * v["u"]
    bad = 0
    for name, n in covered.items():
        share = 100 * n / int(runs)
        good = 90 <= share <= 99
        bad += not good
        print(f"{name}: the truth is covered in {n} of {runs} runs ({share:.1f} %)"
              f"{'' if good else ': NOT between 90 and 99 %'}")
    return bad


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
