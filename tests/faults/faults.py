#!/usr/bin/python3
"""The program under faults: faults.py script|run|disk|kill BUILD SHIM [STRIDE].

script, run   the n-th allocation fails, alone or with all after it (shim.c). What is allowed:
              exit 70 with a message, 74 where a function of the system wanted the memory, or the
              same result as without the fault where nobody needed it.
disk          the n-th write, fsync, rename or flock fails: exit 74, and no dossier, or a whole one.
kill          killed after so many milliseconds and at the n-th write, fsync or rename: no dossier, or
              a whole one; the next run sweeps what was left.

What a dossier must be: sha256sum -c agrees, and there is no file beside those that it names.
STRIDE (a number) tries every STRIDE-th allocation instead of the selection made for the tests.
"""
import math
import os
import pathlib
import signal
import subprocess
import sys
import tempfile
import time

what = sys.argv[1]
build, shim = (pathlib.Path(p).resolve() for p in sys.argv[2:4])
stride = int(sys.argv[4]) if len(sys.argv) > 4 else None
program = str(build / "windassay")

CAMPAIGN = """
return {
  interface = 1, title = "Unit NL-0417, two days",
  lidar  = { serial = "NL-0417" },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-04T00:00:00Z", interval = "MINUTES min" },
  roles  = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = {
      files = { "unit.csv" }, interval = "MINUTES min",
      time  = { column = "time", zone = "UTC", stamp = "start" },
      channels = { wind_speed = { mean = "v", availability = "a", height = 9, unit = "m/s" } },
    },
    mast = {
      files = { "mast.csv" }, interval = "MINUTES min",
      time  = { column = "time", zone = "UTC", stamp = "start" },
      channels = { wind_speed = { mean = "v", height = 9, unit = "m/s", use = "primary" } },
    },
  },
  checks = { { "wind_speed_comparison", hours = 10, criteria = { contract = "roadmap_minimum" } } },
}
"""
SCRIPT = """
local x, y = data.spots.x, data.spots.y
local f = fit.line(x, y)
report:value("slope", f.slope, { unit = "1", u = f.slope_u })
report:note("done")
print(#x)
"""

faults = []  # what went wrong, a line each


def complain(text):
    faults.append(text)
    print(text, flush=True)


def write_inputs(folder):
    # for disks and kills so many intervals that a file of the dossier is written in several pieces
    minutes = 1 if what in ("disk", "kill") else 10
    (folder / "campaign.lua").write_text(CAMPAIGN.replace("MINUTES", str(minutes)))
    unit, mast = "time,v,a\n", "time,v\n"
    for i in range(2880 // minutes):
        at = i * minutes
        stamp = f"2026-03-{2 + at // 1440:02}T{at % 1440 // 60:02}:{at % 60:02}:00Z"
        v = 9 + 6 * math.sin(i / 23) + math.sin(i * 1.7)
        mast += f"{stamp},{v:.3f}\n"
        unit += f"{stamp},{v * 1.004 + 0.03 * math.cos(i * 2.3):.3f},0.995\n"
    (folder / "unit.csv").write_text(unit)
    (folder / "mast.csv").write_text(mast)
    (folder / "free.lua").write_text(SCRIPT)
    (folder / "spots.csv").write_text("x,y\n1,2.1\n2,3.9\n3,6.2\n")


def call(folder, command, fault=None, count=False):
    env = {"LC_ALL": "C.UTF-8", "PATH": os.environ["PATH"]}
    if fault is not None:
        env |= {"LD_PRELOAD": str(shim), "WINDASSAY_FAULT": fault}
    if count:
        env["WINDASSAY_FAULT_COUNT"] = str(folder / "count")
    args = {"script": ["script", "free.lua", "--data", "spots=spots.csv"],
            "run": ["run", "campaign.lua", "--into", "out/dossier", "--jobs", "1"],
            "replace": ["run", "campaign.lua", "--into", "out/dossier", "--jobs", "1", "--replace"]}[command]
    return subprocess.run([program, *args], cwd=folder, env=env, capture_output=True, timeout=60, check=False)


def calls_of(folder, command, kind):
    call(folder, command, f"{kind}:0:EIO", count=True)
    n = int((folder / "count").read_text())
    assert n > 0, f"no {kind} was seen: the shim is not in place"
    return n


def files_of(bag):
    return sorted(p for p in bag.rglob("*") if p.is_file())


def whole(bag):
    """True where outsiders find the dossier whole."""
    for manifest in ("manifest-sha256.txt", "tagmanifest-sha256.txt"):
        done = subprocess.run(["sha256sum", "-c", "--strict", "--quiet", manifest], cwd=bag,
                              capture_output=True, check=False)
        if done.returncode != 0:
            return False
    named = [line.split("  ", 1)[1] for line in (bag / "manifest-sha256.txt").read_text().splitlines()]
    return sorted(named) == sorted(str(p.relative_to(bag)) for p in files_of(bag / "data"))


def contents(bag):
    return {str(p.relative_to(bag)): p.read_bytes() for p in files_of(bag) if p.name != "run.json"}


def evidence(bag):
    # the tag manifests name run.json's digest
    return {k: v for k, v in contents(bag).items() if k.startswith("data/")}


def clear(folder):
    subprocess.run(["rm", "-rf", str(folder / "out")], check=True)
    (folder / "out").mkdir()


def look(folder, name, good=None):
    """The place after a fault: whole or absent, and nothing left over."""
    out = folder / "out"
    there = sorted(p.name for p in out.iterdir())
    if [n for n in there if n != "dossier"]:
        complain(f"{name}: left over: {there}")
    if (out / "dossier").exists():
        if not whole(out / "dossier"):
            complain(f"{name}: a dossier that is not whole")
        elif good is not None and evidence(out / "dossier") != good:
            complain(f"{name}: a dossier with other evidence")


def judge(name, done, normal, allowed):
    if done.returncode == normal.returncode and done.stdout == normal.stdout:
        return "same"
    if done.returncode not in allowed:
        complain(f"{name}: exit {done.returncode}: {done.stderr.decode(errors='replace').strip()[:200]}")
    elif not done.stderr.startswith(b"windassay: "):
        complain(f"{name}: exit {done.returncode} without a message: {done.stderr[:200]}")
    return str(done.returncode)


def selection(total, most):
    """The first calls one by one, then ever wider steps up to the last."""
    if stride is not None:
        return list(range(1, total + 1, stride))
    first = most // 4
    spread = {1 + round((total - 1) * (i / (most - first)) ** 1.0) for i in range(most - first + 1)}
    return sorted(set(range(1, min(first, total) + 1)) | spread)


def memory(folder, command, most):
    clear(folder)
    normal = call(folder, command)
    assert normal.returncode in (0, 1, 2), normal
    good = evidence(folder / "out/dossier") if command == "run" else None
    clear(folder)
    total = calls_of(folder, command, "malloc")
    met = {}
    for n in selection(total, most):
        for onward in ("", "+"):
            name = f"{command}: allocation {n}{onward} of {total}"
            clear(folder)
            done = call(folder, command, f"malloc:{n}{onward}")
            how = judge(name, done, normal, (70, 74))
            met[how] = met.get(how, 0) + 1
            look(folder, name, good)
    print(f"{command}: {total} allocations; {met}")
    if met.get("70", 0) < 10:
        complain(f"{command}: the faults were hardly met: {met}")


def disk(folder):
    clear(folder)
    normal = call(folder, "run")
    assert normal.returncode in (0, 1, 2), normal
    good = evidence(folder / "out/dossier")
    for kind, code in (("write", "ENOSPC"), ("write", "EIO"), ("fsync", "EIO"), ("rename", "EIO"),
                       ("flock", "EIO")):
        clear(folder)
        total = calls_of(folder, "run", kind)
        for n in selection(total, 4):
            for onward in ("", "+"):
                name = f"{kind} {n}{onward} of {total}: {code}"
                clear(folder)
                done = call(folder, "run", f"{kind}:{n}{onward}:{code}")
                # half a write is no fault by itself: the rest follows; another folder is locked
                partial = (code == "ENOSPC" or kind == "flock") and onward == ""
                how = judge(name, done, normal, (74,))
                if how == "same" and not partial:
                    complain(f"{name}: nobody noticed")
                look(folder, name, good)
    # One write after another: two that fail in the same file meet it between its pieces.
    named = []
    for n in range(1, 16):
        name = f"write {n}, alone"
        clear(folder)
        done = call(folder, "run", f"write:{n}:EIO")
        if judge(name, done, normal, (74,)) == "same":
            complain(f"{name}: nobody noticed")
        look(folder, name)
        named += [word for word in done.stderr.decode(errors="replace").split() if word.startswith("data/")]
    if not any(named.count(file) > 1 for file in named):
        complain(f"no write failed in the middle of a file: {named}")
    # With another dossier in its place: the old one stays, or the new one stands there whole.
    edited = (folder / "unit.csv").read_text().replace(",0.995", ",0.985")
    for kind, n in (("write", 3), ("fsync", 2), ("rename", 1)):
        clear(folder)
        call(folder, "run")
        before = contents(folder / "out/dossier")
        text = (folder / "unit.csv").read_text()
        (folder / "unit.csv").write_text(edited)
        done = call(folder, "replace", f"{kind}:{n}+:EIO")
        (folder / "unit.csv").write_text(text)
        if done.returncode != 74 or contents(folder / "out/dossier") != before:
            complain(f"{kind} over an old dossier: exit {done.returncode}, or the old one was touched")
        look(folder, f"{kind} over an old dossier")
    print("disk: done")


def kill(folder):
    command = [program, "run", "campaign.lua", "--into", "out/dossier", "--jobs", "1"]
    clear(folder)
    began = time.monotonic()
    subprocess.run(command, cwd=folder, capture_output=True, check=False)
    assert (folder / "out/dossier").exists(), "a run by itself leaves no dossier"
    good, lasts = evidence(folder / "out/dossier"), time.monotonic() - began
    clear(folder)
    absent = 0
    # from 1/14 to 20/14 of what a run takes, a run each; left-overs stay for the next one
    for i in range(20):
        subprocess.run(["rm", "-rf", str(folder / "out/dossier")], check=True)
        child = subprocess.Popen(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(lasts * (i + 1) / 14)
        child.kill()
        child.wait()
        bag = folder / "out/dossier"
        absent += not bag.exists()
        if bag.exists() and (not whole(bag) or evidence(bag) != good):
            complain(f"killed after {i + 1}/14 of a run: the dossier is not whole")
    if absent == 0:
        complain("no run was killed in time")
    # and at places in the writing, where the clock seldom meets it
    for kind in ("write", "fsync", "rename"):
        clear(folder)
        total = calls_of(folder, "run", kind)
        for n in sorted({1, total // 2 + 1, total}):
            subprocess.run(["rm", "-rf", str(folder / "out/dossier")], check=True)
            done = call(folder, "run", f"{kind}:{n}:KILL")
            bag = folder / "out/dossier"
            if done.returncode != -signal.SIGKILL:
                complain(f"not killed at {kind} {n} of {total}: exit {done.returncode}")
            if bag.exists() and (not whole(bag) or evidence(bag) != good):
                complain(f"killed at {kind} {n} of {total}: the dossier is not whole")
    left = [p.name for p in (folder / "out").iterdir() if p.name != "dossier"]
    if not left:
        complain("the last killed run left nothing to be swept")
    subprocess.run(["rm", "-rf", str(folder / "out/dossier")], check=True)
    subprocess.run(command, cwd=folder, capture_output=True, check=False)
    look(folder, f"the run after the killed ones (which left {left})", good)
    if not (folder / "out/dossier").exists():
        complain("the run after the killed ones left no dossier")
    print(f"kill: {absent} absent, {20 - absent} whole, {len(left)} left over before the last run")


with tempfile.TemporaryDirectory(prefix="windassay-faults-") as name:
    place = pathlib.Path(name)
    write_inputs(place)
    if what == "disk":
        disk(place)
    elif what == "kill":
        kill(place)
    else:
        memory(place, what, 60 if what == "script" else 30)
sys.exit(1 if faults else 0)
