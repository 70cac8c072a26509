#!/usr/bin/env python3
"""What `windassay why` says, held against what it cannot have copied.

    why_agrees.py ROOT BUILD

1. The demo's unit NL-0418, 16 days: for every interval, the causes that `why` names are exactly those that the
   invented files hold: read here from the raw samples and the mast's rows, not from the dossier. Each number that
   it says met a rule is that of the files.
2. 100 random intervals of the small campaign (fixed seed), asked one by one: `why --json`, ledger.csv, reasons.csv,
   intervals.csv and the counts of the record agree, and so do deviation, bin and rank, computed again here."""
import collections
import csv
import datetime
import gzip
import json
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile

START = datetime.datetime(2026, 3, 2, tzinfo=datetime.timezone.utc)
DAYS = 16
ONLY = """local all, one = require "campaign", {}
for key, value in pairs(all) do one[key] = value end
one.period = { from = "2026-03-02T00:00:00Z", to = "2026-03-18T00:00:00Z", interval = "10 min" }
one.checks = { { "wind_speed_comparison" } }
return one
"""


def asked(build, *words):
    done = subprocess.run([build / "windassay", "why", *words, "--json"], capture_output=True, check=True)
    return json.loads(done.stdout)["intervals"]


def interval_of(end, duration):
    """The interval that the middle of a sample lies in."""
    return int((end - START).total_seconds() - duration / 2) // 600


# ---- 1. planted causes ---------------------------------------------------------------------------


def samples(folder):
    """By interval: how many samples of the unit hold a speed and are good enough."""
    good = collections.Counter()
    for path in sorted(folder.iterdir()):
        with gzip.open(path, "rt", encoding="ascii") as file:
            next(file)
            for line in file:
                time, speed, _, quality, _ = line.split(",")
                if speed != "NaN" and quality != "NaN" and float(quality) >= 50:
                    day = int(time[8:10]) - 2
                    second = int(time[11:13]) * 3600 + int(time[14:16]) * 60 + int(time[17:19])
                    good[(day * 86400 + second - 1) // 600] += 1
    return good


def mast(folder):
    """By interval: direction, temperature, humidity."""
    rows = {}
    for path in sorted(folder.iterdir()):
        with path.open(encoding="utf-8") as file:
            for row in list(csv.reader(file, delimiter=";"))[2:]:
                end = datetime.datetime.strptime(row[0], "%d.%m.%Y %H:%M").replace(
                    tzinfo=datetime.timezone(datetime.timedelta(hours=1)))
                rows[interval_of(end, 600)] = [float(x.replace(",", ".")) for x in row[8:11]]
    return rows


def stuck(rows, n):
    """Intervals in a run of six or more equal directions."""
    found, run = set(), []
    for i in range(n + 1):
        if run and (i == n or i not in rows or rows[i][0] != rows[run[-1]][0]):
            found.update(run if len(run) >= 6 else [])
            run = []
        if i in rows:
            run.append(i)
    return found


def causes(i, good, rows, still):
    direction, temperature, humidity = rows[i]
    return {reason for reason, met in {
        "unit missing": good[i] == 0,
        "unit availability below 80 %": good[i] < 480,
        "icing possible": temperature < 2 and humidity > 80,
        "vane stuck": i in still,
        "disturbed sector": 52 <= direction < 98}.items() if met}


def planted(root, build, work):
    shutil.copytree(root / "demo", work / "demo", ignore=shutil.ignore_patterns("out", "data"))
    subprocess.run([build / "windassay-demo-data", work / "demo/data", str(DAYS)], check=True)
    (work / "demo/NL-0418/one.lua").write_text(ONLY)
    subprocess.run([build / "windassay", "run", work / "demo/NL-0418/one.lua", "--into", work / "out"],
                   stdout=subprocess.DEVNULL, check=True)
    rows, good = mast(work / "demo/data/mast"), samples(work / "demo/data/raw/NL-0418")
    still, n, met = stuck(rows, DAYS * 144), DAYS * 144, collections.Counter()
    for i, told in enumerate(asked(build, work / "out", "2026-03-02T00:00Z/2026-03-18T00:00Z")):
        account = told["accounts"][0]
        found = {x["reason"] for x in account.get("exclusions", [])}
        assert found == causes(i, good, rows, still), (told["from"], found, causes(i, good, rows, still))
        assert (account["state"] == "excluded") == bool(found), told["from"]
        met.update(found)
        numbers = {x["name"]: x["value"] for e in account.get("exclusions", []) for x in e["looked_at"]}
        expected = {"lidar.wind_speed.availability": good[i] / 600, "mast.t.mean": rows[i][1],
                    "mast.rh.mean": rows[i][2], "mast.d_top.mean": rows[i][0]}
        for name, value in numbers.items():
            if name in expected:
                assert value == expected[name], (told["from"], name, value, expected[name])
    assert len(met) == 5 and sum(met.values()) > 200, met
    print(f"{n} intervals of the demo: " + ", ".join(f"{k} {v}" for k, v in sorted(met.items())))


# ---- 2. one by one -------------------------------------------------------------------------------


def table(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def number(text):
    return None if text == "" else float(text)


def one(told, row, ledger, intervals, compared, codes):
    """One interval: `told` by why, `row` of the grid; gives how often each reason was met."""
    seen = collections.Counter()
    assert told["from"] == ledger[row]["time"] == intervals[row]["time"]
    values = {x["name"] + (f" [{x['unit']}]" if "unit" in x else ""): x["value"] for x in told["values"]}
    assert values == {k: number(v) for k, v in intervals[row].items() if k != "time"}
    for account in told["accounts"]:
        title = account["check"] + ("" if account["account"] == "intervals" else "." + account["account"])
        cell = ledger[row][title]
        words = {"used": "used", "records only": "used in records, not in bin means",
                 "outside": "outside the bins"}.get(cell, "excluded")
        assert account["state"] == words, (told["from"], title, cell, account["state"])
        told_codes = "+".join(x["code"] + ("?" if x.get("cannot_be_judged") else "")
                              for x in account.get("exclusions", []))
        assert told_codes == (cell if words == "excluded" else ""), (title, told_codes, cell)
        for x in account.get("exclusions", []):
            assert codes[title, x["code"]] == x["reason"], (title, x)
            seen[title, x["reason"], bool(x.get("cannot_be_judged"))] += 1
        column = next((k for k in compared[row] if k.startswith(title + ".deviation")), None)
        if column is None or cell not in ("used", "records only"):
            assert "rank" not in account
            continue
        deviation = float(compared[row][column])
        assert account["deviation"]["value"] == deviation
        sizes = [abs(float(c[column])) for c, state in zip(compared, ledger)
                 if state[title] in ("used", "records only")]
        assert account["of"] == len(sizes)
        assert account["rank"] == 1 + sum(size > abs(deviation) for size in sizes)
        if "measured" in account and "degree" not in account["measured"]["unit"]:
            assert account["measured"]["value"] - account["reference"]["value"] == deviation
        if "bin" in account:
            assert account["rank_in_bin"] <= account["of_bin"] <= account["of"]
    return seen


def agrees(root, build, work):
    shutil.copytree(root / "demo/small", work / "small")
    subprocess.run([build / "windassay", "run", work / "small/campaign.lua", "--into", work / "small/out"],
                   stdout=subprocess.DEVNULL, check=True)
    data = work / "small/out/data"
    ledger, intervals, compared = (table(data / f"{name}.csv") for name in ("ledger", "intervals", "compared"))
    codes = {(r["account"], r["code"]): r["reason"] for r in table(data / "reasons.csv")}
    for row in random.Random(20260302).sample(range(len(ledger)), 100):
        told, = asked(build, work / "small/out", ledger[row]["time"])
        one(told, row, ledger, intervals, compared, codes)
    # All at once: the counts of the record, and what was compared is the bin's mean in the table.
    seen = collections.Counter()
    for row, told in enumerate(asked(build, work / "small/out", f"{ledger[0]['time']}/2026-03-10T00:00Z")):
        seen += one(told, row, ledger, intervals, compared, codes) if row % 9 == 0 else collections.Counter(
            (a["check"], x["reason"], bool(x.get("cannot_be_judged")))
            for a in told["accounts"] for x in a.get("exclusions", []))
    record = json.loads((data / "result.json").read_text(encoding="utf-8"))
    for check in record["checks"]:
        for x in check["exclusions"]:
            assert seen[check["id"], x["reason"], False] == x["intervals"], x
            if not x.get("keeps_unknown"):
                assert seen[check["id"], x["reason"], True] == x["unknown"], x
    print("100 random intervals: why, ledger and record agree")


def main(root, build):
    with tempfile.TemporaryDirectory(prefix="windassay-") as temporary:
        work = pathlib.Path(temporary)
        agrees(root, build, work)
        planted(root, build, work)


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve())
