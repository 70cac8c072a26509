#!/usr/bin/env python3
"""Tamperings with a dossier: each must be detected by `windassay audit`, and named.

    tamper.py ROOT BUILD

A line of the table: what is done, to a copy of a dossier that has its data; whether the manifests
are made again afterwards, as somebody would who knows how; what audit must say. Where the manifests
are left alone, sha256sum (coreutils) is the second opinion on what is detected."""
import hashlib
import json
import math
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

root, build = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])


def flip(path, at=None):
    """One bit of one byte."""
    def act(d):
        b = bytearray((d / path).read_bytes())
        b[len(b) // 2 if at is None else at] ^= 1
        (d / path).write_bytes(b)
    return act


def replace(path, old, new, count=1):
    def act(d):
        text = (d / path).read_text(encoding="utf-8")
        if re.search(old, text) is None:
            raise SystemExit(f"{path} has no {old}")
        (d / path).write_text(re.sub(old, new, text, count=count), encoding="utf-8")
    return act


def edit(change):
    """The record, through JSON, in the same writing but for what changes."""
    def act(d):
        path = d / "data/result.json"
        text = path.read_text(encoding="utf-8")
        record = json.loads(text)
        before, after = change(record)
        if text.count(before) < 1:
            raise SystemExit(f"the record has no {before}")
        path.write_text(text.replace(before, after, 1), encoding="utf-8")
    return act


def truncate(path):
    return lambda d: os.truncate(d / path, (d / path).stat().st_size // 2)


def add(path, text="1\n"):
    def act(d):
        (d / path).parent.mkdir(parents=True, exist_ok=True)
        (d / path).write_text(text)
    return act


def remove(path):
    return lambda d: (d / path).unlink()


def swap(a, b):
    def act(d):
        x, y = (d / a).read_bytes(), (d / b).read_bytes()
        (d / a).write_bytes(y)
        (d / b).write_bytes(x)
    return act


def link(path):
    """The same bytes, behind a link to a file outside."""
    def act(d):
        aside = d.parent / "aside"
        shutil.move(d / path, aside)
        (d / path).symlink_to(aside)
    return act


def pipe(path):
    def act(d):
        (d / path).unlink()
        os.mkfifo(d / path)
    return act


def both(*acts):
    def act(d):
        for a in acts:
            a(d)
    return act


def manifests(d):
    """Made again, with a count of bytes that is right: what is left is a sound bag."""
    files = sorted((p for p in (d / "data").rglob("*") if p.is_file()),
                   key=lambda p: str(p.relative_to(d)).encode())
    lines = [f"{hashlib.sha256(p.read_bytes()).hexdigest()}  {p.relative_to(d)}\n" for p in files]
    (d / "manifest-sha256.txt").write_text("".join(lines))
    info = (d / "bag-info.txt").read_text()
    oxum = f"Payload-Oxum: {sum(p.stat().st_size for p in files)}.{len(files)}"
    (d / "bag-info.txt").write_text(re.sub(r"Payload-Oxum: .*", oxum, info))
    tags = sorted(line.split("  ")[1] for line in
                  (d / "tagmanifest-sha256.txt").read_text().splitlines())
    (d / "tagmanifest-sha256.txt").write_text("".join(
        f"{hashlib.sha256((d / t).read_bytes()).hexdigest()}  {t}\n" for t in tags))


def listed_digest(d, path):
    """The record lists the script as it is now."""
    record = d / "data/result.json"
    text = record.read_text()
    new = hashlib.sha256((d / "data" / path).read_bytes()).hexdigest()
    record.write_text(re.sub(r'("path": "%s",\s*"sha256": ")[0-9a-f]{64}' % re.escape(path),
                             r"\g<1>" + new, text))


UNIT = "data/inputs/campaign/unit.csv"
CHECK = "data/scripts/checks/wind_speed_comparison.lua"
BY_BIN = "data/tables/wind_speed_comparison.by_bin.csv"
OWN = "data/scripts/campaign/campaign.lua"

# Left to the manifests: every byte is proven before anything is read.
PLAIN = [
    ("a byte of an input", flip(UNIT), [UNIT]),
    ("a byte of a script", flip(CHECK), [CHECK]),
    ("a byte of the campaign", flip(OWN), [OWN]),
    ("a byte of a table", flip(BY_BIN), [BY_BIN]),
    ("a byte of the record", flip("data/result.json"), ["data/result.json"]),
    ("a byte of intervals.csv", flip("data/intervals.csv"), ["data/intervals.csv"]),
    ("a byte of the ledger", flip("data/ledger.csv"), ["data/ledger.csv"]),
    ("a byte of the report", flip("data/report.html"), ["data/report.html"]),
    ("a byte of run.json", flip("data/run.json"), ["data/run.json"]),
    ("a digest in the manifest", flip("manifest-sha256.txt", 3), ["manifest-sha256.txt"]),
    ("a path in the manifest", replace("manifest-sha256.txt", "data/ledger", "data/ledges"), ["ledge"]),
    ("a path in the manifest that leads out", replace("manifest-sha256.txt", "data/ledger.csv", "data/../../x"),
     ["manifest-sha256.txt", "not a clean path"]),
    ("a line of the manifest twice", replace("manifest-sha256.txt", r"(?m)^(.*ledger.csv\n)", r"\1\1"),
     ["manifest-sha256.txt", "not in order"]),
    ("a byte of the tag manifest", flip("tagmanifest-sha256.txt", 3), ["bag-info.txt"]),
    ("a line less in the tag manifest", replace("tagmanifest-sha256.txt", r"(?m)^.*bagit.txt\n", ""),
     ["tagmanifest-sha256.txt"]),
    ("a byte of bagit.txt", flip("bagit.txt"), ["bagit.txt"]),
    ("a byte of bag-info.txt", flip("bag-info.txt"), ["bag-info.txt"]),
    ("a file more below data", add("data/tables/more.csv"), ["data/tables/more.csv", "no manifest lists it"]),
    ("a file more beside data", add("more.txt"), ["more.txt", "no manifest lists it"]),
    ("a hidden file more", add("data/.more"), ["data/.more", "no manifest lists it"]),
    ("a file with an odd name", add("data/tables/a\nb.csv"), ["data/tables/a\\x0ab.csv"]),
    ("an empty folder more", lambda d: (d / "data/empty").mkdir(), ["data/empty"]),
    ("a file less", remove("data/ledger.csv"), ["ledger.csv", "not there"]),
    ("an input less", remove(UNIT), ["unit.csv", "not there"]),
    ("bagit.txt less", remove("bagit.txt"), ["bagit.txt"]),
    ("the tag manifest less", remove("tagmanifest-sha256.txt"), ["tagmanifest-sha256.txt"]),
    ("a link for a script", link(CHECK), [CHECK, "link"]),
    ("a link for a folder", link("data/tables"), ["data/tables", "link"]),
    ("a link for the manifest", link("manifest-sha256.txt"), ["manifest-sha256.txt", "link"]),
    ("a pipe for a table", pipe(BY_BIN), [BY_BIN]),
    ("half of the record", truncate("data/result.json"), ["data/result.json"]),
    ("half of an input", truncate(UNIT), [UNIT]),
    ("half of the manifest", truncate("manifest-sha256.txt"), []),
    ("two tables swapped", swap(BY_BIN, "data/tables/clock.by_stretch.csv"), ["data/tables/clock.by_stretch.csv"]),
    ("two inputs swapped", swap(UNIT, "data/inputs/campaign/mast.csv"), ["data/inputs/campaign/mast.csv"]),
]


def first_value(record):
    r = next(r for c in record["checks"] for r in c.get("requirements", [])
             if c["name"] == "wind_speed_comparison" and isinstance(r.get("value"), float))
    return f'"value": {r["value"]!r}', f'"value": {r["value"] * 1.001!r}'


def last_place(record):
    """A value moved to the next double."""
    before, _ = first_value(record)
    x = float(before.split(": ")[1])
    return before, f'"value": {math.nextafter(x, 2 * x)!r}'


# With manifests made again: only computing it again shows these.
CONSISTENT = [
    ("a value of the record", edit(first_value), 1, ["'wind_speed_comparison'", "value", "damaged dossier"]),
    ("the last place of a value", edit(last_place), 1,
     ["'wind_speed_comparison'", "(1 unit in the last place)", "platform difference"]),
    ("a value, as if of another version",
     both(edit(first_value), replace("data/run.json", r'"version": "[^"]*"', '"version": "0.0.9"')), 1,
     ["made by windassay 0.0.9", "'wind_speed_comparison'", "changed engine version"]),
    ("a value, as if of another arithmetic",
     both(edit(first_value), replace("data/result.json", r'"arithmetic": \d+', '"arithmetic": 99')), 1,
     ["arithmetic 99", "'wind_speed_comparison'", "changed engine version"]),
    ("the outcome of the record", replace("data/result.json", r'(?m)^ "outcome": "\w+"', ' "outcome": "conditional pass"'), 1,
     ["decision        differs", "outcome: 'conditional pass' in the dossier", "damaged dossier"]),
    ("the sentence of the record", replace("data/result.json", r'(?m)^ "sentence": "', ' "sentence": "Really: '), 1,
     ["decision        differs", "sentence", "damaged dossier"]),
    ("a limit of the record", replace("data/result.json", r'("limits": \{[^}]*"lower": )95', r"\g<1>94"), 1,
     ["decision        differs", "limits, lower: 94 in the dossier, 95 computed again", "damaged dossier"]),
    ("the record in another writing", replace("data/result.json", r'"schema": ', '"schema":  '), 1,
     ["result.json differs", "says the same in another writing"]),
    ("a record that is no JSON", truncate("data/result.json"), 65, ["data/result.json"]),
    ("a record without its checks", replace("data/result.json", r'"checks": ', '"cheques": '), 65,
     ["data/result.json", "no list of checks"]),
    ("a record whose check has no status", replace("data/result.json", r'"status": "ran"', '"state": "ran"'), 65,
     ["data/result.json", "check 1"]),
    ("another schema", replace("data/result.json", "windassay-result-1", "windassay-result-9"), 65, ["windassay-result-1"]),
    ("an input", replace(UNIT, r",(\d\d)\.", r",1\1."), 1, ["unit.csv changed", "changed data", "unit.csv: sha256"]),
    ("an input, half of it", truncate(UNIT), 1, ["unit.csv changed", "changed data"]),
    ("an input less", remove(UNIT), 0, ["1 of 2 inputs are not in the dossier", "the raw data were not read"]),
    ("two inputs swapped", swap(UNIT, "data/inputs/campaign/mast.csv"), 0, ["from raw data   identical"]),
    ("a file more among the inputs", add("data/inputs/campaign/more.csv"), 1,
     ["inputs/campaign/more.csv is none of the inputs that the record names"]),
    ("a script", replace(CHECK, r"(?m)\Z", "-- \n"), 1, ["checks/wind_speed_comparison.lua: sha256", "changed script"]),
    ("a script that breaks", replace(CHECK, r"\A", "locale "), 1, ["changed script", "cannot be computed"]),
    ("the campaign", replace(OWN, r"0\.0|2", "3"), 1, ["changed script", "campaign.lua"]),
    ("the campaign, endless", replace(OWN, r"\A", "while true do end\n"), 1, ["changed script", "cannot be computed"]),
    ("a script and its digest in the record",
     both(replace(CHECK, r"(?m)\Z", "-- \n"), lambda d: listed_digest(d, "scripts/checks/wind_speed_comparison.lua")),
     1, ["scripts/checks/wind_speed_comparison.lua differs from this release", "report.html differs"]),
    ("a script more", add("data/scripts/checks/more.lua", "return {}\n"), 1, ["scripts/checks/more.lua", "changed script"]),
    ("intervals.csv", replace("data/intervals.csv", r"(?m)^(2026-03-03T00:00:00Z,)[0-9.]+", r"\g<1>7.77"), 1,
     ["'intervals.csv'", "2026-03-03T00:00:00Z", "7.77 in the dossier", "damaged dossier"]),
    ("intervals.csv, a row less", replace("data/intervals.csv", r"(?m)^2026-03-03T00:00:00Z.*\n", ""), 1,
     ["'intervals.csv'", "damaged dossier"]),
    ("samples.csv", replace("data/samples.csv", r"(?m)^(2026-03-03T00:00:00Z,)\d+", r"\g<1>7"), 1, ["'samples.csv'"]),
    ("the ledger", replace("data/ledger.csv", r"(?m)^(2026-03-03T00:00:00Z,)\w+", r"\g<1>x1"), 1,
     ["'ledger.csv'", "'x1' in the dossier"]),
    ("a reason", replace("data/reasons.csv", r"unit off", "unit on"), 1, ["'reasons.csv'", "unit on"]),
    ("inputs.csv", replace("data/inputs.csv", r"unit.csv", "unite.csv"), 1, ["'inputs.csv'", "unite.csv"]),
    ("a table", replace(BY_BIN, r"(?m)^4,\d+", "4,99"), 1, ["tables/wind_speed_comparison.by_bin.csv differs"]),
    ("a table less", remove(BY_BIN), 1, ["tables/wind_speed_comparison.by_bin.csv is not in the dossier"]),
    ("a table more", add("data/tables/more.csv"), 1, ["tables/more.csv was not computed again"]),
    ("two tables swapped", swap(BY_BIN, "data/tables/clock.by_stretch.csv"), 1, ["tables/clock.by_stretch.csv differs"]),
    ("the report", replace("data/report.html", r"</h1>", "!</h1>"), 1, ["report.html differs", "damaged dossier"]),
    ("a figure", replace("data/figures/wind_speed_comparison.scatter.svg", r"</text>", "!</text>"), 1,
     ["figures/wind_speed_comparison.scatter.svg differs"]),
    ("bag-info.txt", replace("bag-info.txt", r"External-Description: ", "External-Description: not "), 1,
     ["bag-info.txt differs"]),
    ("bagit.txt", replace("bagit.txt", "1.0", "0.97"), 1, ["bagit.txt", "damaged dossier"]),
]

# The same from intervals alone.
INTERVALS = [
    ("intervals.csv", replace("data/intervals.csv", r"(?m)^(2026-03-03T00:00:00Z,)[0-9.]+", r"\g<1>7.77"), 1,
     ["from intervals  differs", "check 'wind_direction_comparison'", "computed again"]),
    ("intervals.csv, a row less", replace("data/intervals.csv", r"(?m)^2026-03-03T00:00:00Z.*\n", ""), 1,
     ["from intervals", "intervals.csv:146", "the interval of 2026-03-03T00:00:00Z is expected here"]),
    ("intervals.csv, a word", replace("data/intervals.csv", r"(?m)^(2026-03-03T00:00:00Z,)[0-9.]+", r"\g<1>inf"), 1,
     ["intervals.csv:146", "'inf' is no number"]),
    ("intervals.csv, another channel", replace("data/intervals.csv", r"lidar\.wind_speed\.mean", "lidar.w.mean"), 1,
     ["intervals.csv:1", "a column of 'lidar.wind_speed' is expected here"]),
    ("intervals.csv, a row more", replace("data/intervals.csv", r"\Z", "2030-01-01T00:00:00Z\n"), 1, ["intervals.csv:"]),
    ("samples.csv, a source more", replace("data/samples.csv", r"lidar\.read", "sodar.read"), 1,
     ["samples.csv:1", "no samples of this name"]),
    ("samples.csv, beams that nobody has", replace("data/samples.csv", r"lidar\.read", "lidar@beam=1.read"), 1,
     ["samples.csv:1", "no samples of this name"]),
    ("samples.csv, half a sample", replace("data/samples.csv", r"(?m)^(2026-03-03T00:00:00Z,\d+,)\d+", r"\g<1>0.5"), 1,
     ["samples.csv:146", "'0.5' is no number of samples"]),
    ("a period of an age", replace(OWN, r'to = "2026', 'to = "2060'), 1, ["changed script", "too short for the"]),
]


def audit(dossier, *more):
    done = subprocess.run([build / "windassay", "audit", dossier, *more], capture_output=True, text=True, timeout=120,
                          check=False)
    return done.returncode, done.stdout + done.stderr


def main():
    failed = 0
    with tempfile.TemporaryDirectory() as name:
        work = pathlib.Path(name)
        shutil.copytree(root / "demo/small", work / "small")
        subprocess.run([build / "windassay", "run", work / "small/campaign.lua", "--into", work / "whole",
                        "--with-data"], stdout=subprocess.DEVNULL, check=True)
        code, said = audit(work / "whole")
        if code != 0:
            raise SystemExit(said)
        table = ([(n, act, 1, words + ["damaged dossier"], False, ()) for n, act, words in PLAIN] +
                 [(n, act, c, words, True, ()) for n, act, c, words in CONSISTENT] +
                 [(n, act, c, words, True, ("--from-intervals",)) for n, act, c, words in INTERVALS])
        for what, act, expected, words, again, more in table:
            shutil.rmtree(work / "d", ignore_errors=True)
            shutil.copytree(work / "whole", work / "d")
            if (work / "aside").is_dir():
                shutil.rmtree(work / "aside")
            elif (work / "aside").exists():
                (work / "aside").unlink()
            act(work / "d")
            if again:
                manifests(work / "d")
            code, said = audit(work / "d", *more)
            missing = [w for w in words if w not in said]
            good = code == expected and not missing
            failed += not good
            print("detected  " if good else "MISSED    ", what, ", manifests made again" if again else "",
                  ", ".join(("",) + more), sep="")
            if not good:
                print(f"exit code {code}, expected {expected}; not said: {missing}\n{said}")
    print(f"{len(table)} tamperings, {failed} missed")
    return failed > 0


sys.exit(main())
