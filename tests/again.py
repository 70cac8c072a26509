#!/usr/bin/env python3
"""The script in the appendix of a report, as it is printed there, against the record.

    again.py ROOT BUILD

Runs invented campaigns (wind speeds by bin under several criteria, one with incomplete bins and bins whose edges no
double holds; line-of-sight speeds, whose reference is computed), takes the script out of report.html as a reader
would, runs it in the dossier's folder with `python3 -I`, and holds every number that it prints against the tables and
values of result.json: equal to 1e-12, relative."""
import csv
import html
import io
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

TOLERANCE = 1e-12


def same(what, ours, theirs):
    assert (ours is None) == (theirs is None), (what, ours, theirs)
    if ours is not None:
        assert abs(ours - theirs) <= TOLERANCE * abs(theirs), (what, ours, theirs)


def printed(dossier):
    """The script, and the rows that it prints."""
    page = (dossier / "data/report.html").read_text(encoding="utf-8")
    script = html.unescape(re.search(r"<pre id=again-script>(.*?)</pre>", page, re.S).group(1))
    done = subprocess.run([sys.executable, "-I", "-c", script], cwd=dossier, capture_output=True, text=True, check=False)
    assert done.returncode == 0 and done.stderr == "", done.stderr
    return script, list(csv.reader(io.StringIO(done.stdout)))


def by_bin(check):
    """The table by bin of a check: its columns by name."""
    for table in check["tables"]:
        names = [c["name"] for c in table["columns"]]
        if "reference mean" in names and "measured mean" in names and "complete" in names:
            return [dict(zip(names, row)) for row in table["rows"]]
    return None


def hold(dossier, least):
    script, rows = printed(dossier)
    record = json.loads((dossier / "data/result.json").read_text(encoding="utf-8"))
    told, numbers = {}, 0
    for row in rows:
        told.setdefault(row[0], []).append(row[1:])
    for check in record["checks"]:
        table = by_bin(check)
        if table is None or check["id"] not in told:
            assert table is None, check["id"]
            continue
        bins = told[check["id"]][:len(table)]
        slopes = {row[0]: row[1:] for row in told[check["id"]][len(table):]}
        for ours, theirs in zip(bins, table):
            where = f"{check['id']}, bin {theirs['centre']}"
            ours = [float(x) for x in ours] + [None] * (6 - len(ours))
            keys = ("centre", "count", "reference mean", "measured mean", "deviation", "standard deviation")
            for key, x in zip(keys, ours):
                same(f"{where}: {key}", x, theirs[key])
                numbers += 1
        values = {v["name"]: v["value"] for v in check["values"]}
        for of, slope in (("records in bins", "records"), ("bin means", "bin means")):
            n, ours = slopes.pop("slope of " + of)
            theirs, = (v for k, v in values.items() if re.fullmatch(f"forced (slope|gain)( of speed)?, {slope}", k))
            if check["name"] == "los_speed" and of == "records in bins":
                continue  # its fit over records takes those outside the bins, too; bin means decide
            same(f"{check['id']}: slope, {of}", float(ours), theirs)
            full = [row for row in table if row["complete"] == "yes"]
            assert int(n) == (len(full) if of == "bin means" else sum(row["count"] for row in table))
            numbers += 1
        assert not slopes
        del told[check["id"]]
    assert not told, told
    assert numbers >= least, numbers
    print(f"{dossier.name}: {len(script.splitlines())} lines, {numbers} numbers agree")


def main(root, build):
    with tempfile.TemporaryDirectory(prefix="windassay-") as temporary:
        work = pathlib.Path(temporary)
        small = work / "small"
        shutil.copytree(root / "demo/small", small)
        text = (small / "campaign.lua").read_text(encoding="utf-8")
        narrow = text.replace("2026-03-10T00", "2026-03-04T00").replace(
            '"wind_speed_comparison", ', '"wind_speed_comparison", width = 0.2, at_least = 5, ')
        (small / "narrow.lua").write_text(narrow, encoding="utf-8")
        (work / "los").mkdir()
        shutil.copy(root / "tests/reference/line_of_sight/noisy_286.csv", work / "los/records.csv")
        case = (root / "tests/program/cases/los.t").read_text(encoding="utf-8")  # its first campaign
        lines = case[case.index("<<'LUA'"):case.index(". LUA")].splitlines()[1:]
        (work / "los/campaign.lua").write_text("\n".join(line[2:] for line in lines), encoding="utf-8")
        campaigns = [("campaign", small / "campaign.lua", 400), ("narrow", small / "narrow.lua", 700),
                     ("beam", work / "los/campaign.lua", 80)]
        for name, campaign, least in campaigns:
            done = subprocess.run([build / "windassay", "run", campaign, "--into", work / name],
                                  stdout=subprocess.DEVNULL, check=False)
            assert done.returncode in (0, 1, 2), done.returncode
            hold(work / name, least)


if __name__ == "__main__":
    main(pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve())
