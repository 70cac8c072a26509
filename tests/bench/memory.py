#!/usr/bin/python3
"""Memory of runs and audits of many intervals: the peak resident set of the largest process (the program,
its cells, what it forks), as the kernel tells measure.c, against the stated bound of 28 MB (10^6 bytes) + 48 bytes x
channels x intervals (docs/benchmarks.md), with nothing added. A file of a dossier that were held as a whole
exceeds it: the texts of the first campaign come to 62 MB, beside records of 44 MB.

    memory.py ROOT BUILD
"""
import hashlib
import os
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile
import time

root, build = (pathlib.Path(p).resolve() for p in sys.argv[1:3])
bench = root / "tests/bench"
bad = []

PLAIN = """
local check = { title = "Ten years of a unit beside a cup", practice = "a test, no practice",
                needs = { "unit.wind_speed", "reference.wind_speed" } }
function check.run(campaign, _, report)
  local r = campaign.intervals
  local ws = r.unit:find{ quantity = "wind_speed" }
  local cup = r.reference:find{ quantity = "wind_speed" }
  r:need(ws.mean, cup.mean)
  r:exclude("speed outside the bins", ~cup.mean:between(3.75, 16.25, "m/s"))
  local measured, reference = r:kept(ws.mean, cup.mean)
  report:table("bins", compare.by_bin(measured, reference, { width = 0.5, centred_on = 0, lowest = 4, highest = 16,
                                                            at_least = 3 }))
end
return check
"""


def compile_c(to, source, *flags):
    subprocess.run([os.environ.get("CC", "cc"), "-O2", *flags, bench / source, "-o", to, "-lm"], check=True)


def many_channels(folder):
    """The benchmark's 1 Hz files, three days in intervals of 6 s: as many as 300 days of 10 min have."""
    shutil.copytree(bench / "campaign", folder)
    compile_c(folder / "gen", "gen.c")
    for source in ("lidar", "mast"):
        with open(folder / f"{source}.csv", "wb") as f:
            subprocess.run([folder / "gen", source, "1", "3"], stdout=f, check=True)
    text = (folder / "campaign.lua").read_text()
    (folder / "campaign.lua").write_text(text.replace("END", "2023-01-04T00:00:00Z").replace('"10 min"', '"6 s"'))
    check = folder / "checks/pair.lua"
    check.write_text(check.read_text().replace("540", "5"))
    return 24, 43200


def many_years(folder):
    """Ten years of 10-min means, one channel a source."""
    shutil.copytree(bench / "ten_years", folder)
    text = (folder / "campaign.lua").read_text()
    (folder / "campaign.lua").write_text(text.replace('"ten_years"', '"plain"'))
    (folder / "checks/plain.lua").write_text(PLAIN)
    draw, n = random.Random(1), 525456
    with open(folder / "unit.csv", "w", encoding="ascii") as unit, open(folder / "mast.csv", "w", encoding="ascii") as mast:
        unit.write("time,v\n")
        mast.write("time,v\n")
        for day in range(n // 144):
            date = time.strftime("%Y-%m-%dT", time.gmtime(1356998400 + 86400 * day))
            for i in range(144):
                stamp, speed = f"{date}{i // 6:02d}:{i % 6}0:00Z,", 16 * draw.random()
                mast.write(f"{stamp}{speed:.3f}\n")
                unit.write(f"{stamp}{1.004 * speed + 0.2:.3f}\n")
    return 2, 525600  # the last day has no rows


def spoil(dossier):
    """Another number in the last row of intervals.csv, and manifests that agree with it."""
    with open(dossier / "data/intervals.csv", "r+b") as f:
        f.seek(-20000, os.SEEK_END)
        text = f.read()
        at = max(i for i in range(len(text)) if text[i - 1:i] == b"," and text[i:i + 1] in b"12345678")
        f.seek(at - 20000, os.SEEK_END)
        f.write(bytes([text[at] + 1]))
    for manifest, changed in (("manifest-sha256.txt", "data/intervals.csv"),
                              ("tagmanifest-sha256.txt", "manifest-sha256.txt")):
        digest = hashlib.sha256((dossier / changed).read_bytes()).hexdigest()
        lines = (dossier / manifest).read_text().splitlines()
        (dossier / manifest).write_text("".join(f"{digest}  {changed}\n" if line.endswith("  " + changed) else line + "\n"
                                                for line in lines))


def measure(name, size, code, *arguments):
    channels, intervals = size
    with tempfile.TemporaryFile() as said, tempfile.TemporaryFile() as told:
        done = subprocess.run(["sh", "-c", 'exec "$@" 3>&1 >/dev/null', "sh", work / "measure", build / "windassay",
                               *arguments], stdout=told, stderr=said, check=False)
        for f in (said, told):
            f.seek(0)
        if done.returncode != code:
            bad.append(name)
            print(f"{name}: exit {done.returncode}, not {code}: {said.read().decode(errors='replace')}")
        kilobytes = int(told.read().split()[2])
    peak, most = kilobytes * 1024 / 1e6, 28 + 48e-6 * channels * intervals
    print(f"{name}: {peak:.1f} MB, at most {most:.1f}")
    if peak > most:
        bad.append(name)


def campaign(name, make):
    folder = work / name
    size, dossier = make(folder), folder / "dossier"
    measure(f"{name}, run", size, 0, "run", folder / "campaign.lua", "--into", dossier, "--jobs", "2")
    with open(dossier / "data/intervals.csv", "rb") as f:
        found = f.readline().count(b".mean"), sum(1 for _ in f)
    if found != size:
        bad.append(f"{name}: {found} channels and intervals, not {size}")
    measure(f"{name}, the same again", size, 0, "run", folder / "campaign.lua", "--into", dossier)
    measure(f"{name}, audit", size, 0, "audit", dossier, "--data", folder)
    measure(f"{name}, audit from intervals", size, 0, "audit", dossier, "--from-intervals")
    spoil(dossier)
    measure(f"{name}, audit of a spoilt one", size, 1, "audit", dossier, "--data", folder)
    shutil.rmtree(folder)


work = pathlib.Path(tempfile.mkdtemp())
try:
    compile_c(work / "measure", "measure.c", "-D_GNU_SOURCE")
    campaign("24 channels", many_channels)
    campaign("10 years", many_years)
finally:
    shutil.rmtree(work)
if bad:
    sys.exit("; ".join(bad))
