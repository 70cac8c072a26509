"""run.py WORK BUILD REPS [DAYS]: the benchmark behind run.sh.

WORK holds gen and is best on tmpfs; BUILD is a build of the project with its tests. Makes the data,
runs windassay and each installed peer one after another, REPS times, and prints for each the median
of wall time, of processor time (user + system, children included) and the largest resident set
of a process, with ratios. The peers' answers are compared with windassay's. All of it goes into
WORK/bench.json, too.
"""
import csv
import json
import math
import os
import random
import shutil
import statistics
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
WORK, BUILD, REPS = sys.argv[1], sys.argv[2], int(sys.argv[3])
DAYS = int(sys.argv[4]) if len(sys.argv) > 4 else 30
TOLERANCE = 1e-12
EPOCH = 1672531200  # 2023-01-01, where gen.c begins
SCRIPTS = os.path.join(HERE, "../../scripts")


def make_data(name, days, form="plain"):
    """A campaign folder with its two files."""
    folder = os.path.join(WORK, name)
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(os.path.join(HERE, "campaign"), folder)
    path = os.path.join(folder, "campaign.lua")
    end = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(EPOCH + days * 86400))
    with open(path, encoding="utf-8") as f:
        text = f.read()
    with open(path, "w", encoding="utf-8") as f:
        f.write(text.replace('"END"', f'"{end}"'))
    for kind in ("lidar", "mast"):
        to = os.path.join(folder, f"{kind}.csv")
        with open(to, "wb") as f:
            gen = subprocess.Popen([os.path.join(WORK, "gen"), kind, "1", str(days)], stdout=subprocess.PIPE)
            if form == "quoted":
                subprocess.run(["sed", 's/,/","/g; s/^/"/; s/$/"/'], stdin=gen.stdout, stdout=f, check=True)
            else:
                shutil.copyfileobj(gen.stdout, f, 1 << 20)
            if gen.wait() != 0:
                sys.exit("gen failed")
        if form == "gzip":
            subprocess.run(["gzip", "-1", to], check=True)
    return folder


def windassay(folder, jobs):
    return [f"{BUILD}/windassay", "run", f"{folder}/campaign.lua", "--jobs", str(jobs), "--into", f"{WORK}/out"]


def run_as(folder, jobs, level, piece):
    return [f"{BUILD}/tests/run_as", f"{BUILD}/windassay-cell", SCRIPTS, str(jobs), level, str(piece),
            f"{folder}/campaign.lua", f"{WORK}/out"]


def there(command):
    try:
        return subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False).returncode == 0
    except OSError:
        return False


def peers(lidar, mast):
    found = {}
    p = f"{HERE}/peers"
    modules = os.environ.get("WINDASSAY_PEERS", p)  # a copy of peers/ in which `npm ci` was run
    for name, module in (("DuckDB", "@duckdb/node-api"), ("polars", "nodejs-polars")):
        script = f"{modules}/peer_{name.lower()}.mjs"
        if os.path.isdir(f"{modules}/node_modules/{module}"):
            found[name] = ["node", script, lidar, mast]
    if there(["Rscript", "-e", "library(data.table)"]):
        found["data.table"] = ["Rscript", f"{p}/peer_datatable.R", lidar, mast]
    if there(["/usr/bin/python3", "-c", "import pandas"]):
        found["pandas"] = ["/usr/bin/python3", f"{p}/peer_pandas.py", lidar, mast]
    return found


def timed(command):
    shutil.rmtree(f"{WORK}/out", ignore_errors=True)
    figures, to = os.pipe()
    with open(f"{WORK}/said", "w+b") as said:
        p = subprocess.Popen(["sh", "-c", f'exec 3>&{to}; exec "$@"', "sh", f"{WORK}/measure", *command],
                             stdout=said, stderr=subprocess.DEVNULL, pass_fds=[to])
        os.close(to)
        status = p.wait()
        said.seek(0)
        text = said.read().decode()
    with os.fdopen(figures) as f:
        line = f.read()
    if status != 0:
        sys.exit(f"{command[0]} failed: {status}")
    wall, cpu, kb = (float(x) for x in line.split())
    return (wall, cpu, kb / 1024), text


def own_answer():
    """What the peers print, out of the dossier."""
    with open(f"{WORK}/out/data/result.json", encoding="utf-8") as f:
        entry = json.load(f)["checks"][0]
    table = entry["tables"][0]
    names = [c["name"] for c in table["columns"]]
    wanted = [names.index(n) for n in ("centre", "count", "reference mean", "measured mean", "standard deviation")]
    bins = [[row[i] for i in wanted] for row in table["rows"] if row[wanted[1]] > 0]
    lists = {k: [] for k in ("count", "mean", "sd", "min", "max")}
    with open(f"{WORK}/out/data/intervals.csv", encoding="utf-8", newline="") as f:
        rows = csv.reader(f)
        what = [name.partition(" [")[0].rpartition(".")[2] for name in next(rows)]
        for row in rows:
            for statistic, text in zip(what, row):
                if statistic in lists and text != "":
                    lists[statistic].append(float(text))
    sums = [math.fsum(x) for x in lists.values()]
    values = {v["name"]: v["value"] for v in entry["values"]}
    return {"kept": values["kept"], "slope": values["slope"], "check": sums, "bins": bins}


def difference(a, b):
    """The largest relative difference between two answers."""
    worst = 0.0
    stack = [(a["kept"], b["kept"]), (a["slope"], b["slope"]), (a["check"], b["check"]), (a["bins"], b["bins"])]
    while stack:
        x, y = stack.pop()
        if isinstance(x, list):
            if len(x) != len(y):
                return math.inf
            stack.extend(zip(x, y))
        elif x is None or y is None:
            if x is not y:
                return math.inf
        elif x != y:
            worst = max(worst, abs(x - y) / max(abs(x), abs(y)))
    return worst


def report(title, size, runs, result):
    print(f"\n{title}: {size / 1e6:.0f} MB, median of {REPS} interleaved runs")
    print(f"{'':28s} {'wall s':>8s} {'min':>7s} {'cpu s':>8s} {'MB':>6s} {'MB/s':>6s}")
    rows = {}
    for name, r in runs.items():
        wall, cpu = statistics.median(x[0] for x in r), statistics.median(x[1] for x in r)
        rows[name] = {"wall": wall, "wall_min": min(x[0] for x in r), "cpu": cpu, "cpu_min": min(x[1] for x in r),
                      "peak_mb": max(x[2] for x in r)}
        print(f"{name:28s} {wall:8.3f} {rows[name]['wall_min']:7.3f} {cpu:8.3f} {rows[name]['peak_mb']:6.0f} "
              f"{size / 1e6 / wall:6.0f}")
    result[title] = {"bytes": size, "runs": rows}
    return rows


def interleave(commands):
    runs, said = {name: [] for name in commands}, {}
    for _ in range(REPS):
        for name, command in commands.items():
            figures, text = timed(command)
            runs[name].append(figures)
            said[name] = own_answer() if "windassay" in name else text
    return runs, said


def size_of(folder):
    return sum(os.path.getsize(f"{folder}/{f}") for f in os.listdir(folder) if f.startswith(("lidar", "mast")))


def make_ten_years():
    """525 600 intervals, less a day, of two files."""
    folder = os.path.join(WORK, "ten_years")
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(os.path.join(HERE, "ten_years"), folder)
    draw = random.Random(1)
    speed, t, n = 8.0, 1356998400, 0
    with open(f"{folder}/unit.csv", "w", encoding="ascii") as unit, open(f"{folder}/mast.csv", "w", encoding="ascii") as mast:
        unit.write("time,v\n")
        mast.write("time,v\n")
        while n < 525456:
            stamp = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(t + 600 * n))
            speed = abs(8 + 0.98 * (speed - 8) + draw.gauss(0, 0.7))
            mast.write(f"{stamp},{speed:.3f}\n")
            unit.write(f"{stamp},{1.004 * speed + draw.gauss(0, 0.15):.3f}\n")
            n += 1
    return folder


def ten_years(result):
    folder = make_ten_years()
    runs = {"windassay, ten years": [timed(windassay(folder, 2))[0] for _ in range(REPS)]}
    report("ten years of 10-min means, bins, 1000 block-bootstrap resamples",
           sum(os.path.getsize(f"{folder}/{f}") for f in ("unit.csv", "mast.csv")), runs, result)
    shutil.rmtree(folder)


def machine():
    with open("/proc/cpuinfo", encoding="utf-8") as f:
        model = next((line.split(":")[1].strip() for line in f if line.startswith("model name")), "?")
    return f"{model}, {os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}"


def main():
    result = {"machine": machine(), "days": DAYS, "reps": REPS}
    print(result["machine"])
    plain = make_data("plain", DAYS)
    lidar, mast = f"{plain}/lidar.csv", f"{plain}/mast.csv"
    others = peers(lidar, mast)
    commands = {"windassay, 2 threads": windassay(plain, 2), "windassay, 1 thread": windassay(plain, 1),
                "windassay, 2, no digests": run_as(plain, 2, "best", "-0"),
                "windassay, 1, no digests": run_as(plain, 1, "best", "-1048576"),
                "windassay, 2, portable": run_as(plain, 2, "portable", 0),
                "windassay, 2, parser alone": run_as(plain, 2, "none", 0)}
    commands.update(others)
    commands["wc -l"] = ["wc", "-l", lidar, mast]
    commands["openssl dgst -sha256"] = ["openssl", "dgst", "-sha256", lidar, mast]
    runs, said = interleave(commands)
    rows = report("plain", size_of(plain), runs, result)

    ours = rows["windassay, 2 threads"]
    bare = rows["windassay, 2, no digests"]
    print("\nratios of wall time (median; in brackets of processor time)")
    result["ratios"] = {}
    for name in others:
        r = {"with digests": rows[name]["wall"] / ours["wall"], "without": rows[name]["wall"] / bare["wall"],
             "cpu with": rows[name]["cpu"] / ours["cpu"], "cpu without": rows[name]["cpu"] / bare["cpu"]}
        result["ratios"][name] = r
        print(f"  {name:12s} {r['with digests']:5.1f} ({r['cpu with']:.1f}) times as long; without digests "
              f"{r['without']:5.1f} ({r['cpu without']:.1f})")
    result["of wc"] = rows["wc -l"]["wall"] / bare["wall"]
    result["second thread"] = rows["windassay, 1 thread"]["wall"] / ours["wall"]
    print(f"  speed without digests: {100 * result['of wc']:.0f} % of wc -l")
    print(f"  second thread: {result['second thread']:.2f} times as fast")

    mine = said["windassay, 2 threads"]
    result["differences"] = {}
    bad = [n for n in said if "windassay" in n and said[n] != mine]
    for name in others:
        d = difference(mine, json.loads(said[name]))
        result["differences"][name] = d
        print(f"  largest relative difference to {name}: {d:.1e}")
        if not d <= TOLERANCE:
            bad.append(name)

    for form in ("quoted", "gzip"):
        folder = make_data(form, DAYS, form)
        commands = {f"windassay, 2, {form}": windassay(folder, 2)}
        if form == "gzip":
            commands["gzip -dc to /dev/null"] = ["gzip", "-dc", f"{folder}/lidar.csv.gz", f"{folder}/mast.csv.gz"]
        runs, said = interleave(commands)
        rows = report(form, size_of(folder), runs, result)
        shutil.rmtree(folder)
        bad += [n for n in said if "windassay" in n and difference(mine, said[n]) > 0]
    ten_years(result)
    with open(f"{WORK}/bench.json", "w", encoding="utf-8") as f:
        json.dump(result, f, indent=1)
    print(f"\n{WORK}/bench.json")
    if bad:
        sys.exit("different answers: " + ", ".join(bad))


main()
