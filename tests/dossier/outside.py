#!/usr/bin/env python3
"""What outsiders make of a dossier: a bag by RFC 8493 (bagit.py), a crate by RO-Crate 1.1 and the Process Run Crate
profile (crate.py). Both validators are first shown to find what is wrong.

    outside.py ROOT WINDASSAY"""
import datetime
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).parent))
import bagit  # noqa: E402
import crate  # noqa: E402


def write(path, change):
    path.write_bytes(change(path.read_bytes()))


def move(path, name):
    path.rename(path.parent / name)


# name, what is done to a copy of the dossier, words that must stand in a fault
BROKEN_BAGS = [
    ("a byte changed", lambda d: write(d / "data/result.json", lambda b: b"[" + b[1:]), "has not the checksum"),
    ("a file gone", lambda d: (d / "data/ledger.csv").unlink(), "not there"),
    ("a file more", lambda d: (d / "data/more").write_text("x"), "in no line of manifest"),
    ("a file more, deep", lambda d: (d / "data/tables/more").write_text("x"), "in no line of manifest"),
    ("a tag file changed", lambda d: write(d / "bag-info.txt", lambda b: b + b"A: b\n"), "has not the checksum of tagmanifest"),
    ("no declaration", lambda d: (d / "bagit.txt").unlink(), "no bagit.txt"),
    ("a byte order mark", lambda d: write(d / "bagit.txt", lambda b: b"\xef\xbb\xbf" + b), "does not begin with"),
    ("a third line", lambda d: write(d / "bagit.txt", lambda b: b + b"x\n"), "has 3 lines"),
    ("another encoding", lambda d: write(d / "bagit.txt", lambda b: b.replace(b"UTF-8", b"latin1")), "UTF-8"),
    ("no manifest", lambda d: (d / "manifest-sha256.txt").unlink(), "no payload manifest"),
    ("a manifest of nobody's algorithm", lambda d: move(d / "manifest-sha256.txt", "manifest-sha9.txt"), "nobody knows"),
    ("a line that leads out", lambda d: write(d / "manifest-sha256.txt", lambda b: b + b"0" * 64 + b"  data/../x\n"), "out of the bag"),
    ("a line twice", lambda d: write(d / "manifest-sha256.txt", lambda b: b + b.splitlines()[0] + b"\n"), "again"),
    ("a tag file as payload", lambda d: write(d / "manifest-sha256.txt", lambda b: b + b"0" * 64 + b"  bagit.txt\n"), "no payload"),
    ("a false sum", lambda d: write(d / "bag-info.txt", lambda b: b.replace(b"Payload-Oxum: ", b"Payload-Oxum: 1")), "Payload-Oxum"),
    ("no payload", lambda d: move(d / "data", "date"), "no data/"),
]


def graph(change):
    def apply(folder):
        path = folder / "data/ro-crate-metadata.json"
        whole = json.loads(path.read_text())
        by_id = {e["@id"]: e for e in whole["@graph"]}
        change(whole, by_id)
        path.write_text(json.dumps(whole))
    return apply


BROKEN_CRATES = [
    ("another context", graph(lambda w, e: w.update({"@context": "https://schema.org"})), "@context"),
    ("no descriptor", graph(lambda w, e: w["@graph"].remove(e["ro-crate-metadata.json"])), "descriptor"),
    ("about something else", graph(lambda w, e: e["ro-crate-metadata.json"].update(about={"@id": "x"})), "not about"),
    ("no date", graph(lambda w, e: e["./"].pop("datePublished")), "datePublished"),
    ("no licence", graph(lambda w, e: e["./"].pop("license")), "license"),
    ("no profile", graph(lambda w, e: e["./"].pop("conformsTo")), "Process Run Crate"),
    ("no instrument", graph(lambda w, e: e["#run"].pop("instrument")), "no instrument"),
    ("an instrument that is none", graph(lambda w, e: e["#windassay"].update({"@type": "Person"})), "no application"),
    ("a part that is not described", graph(lambda w, e: e["./"]["hasPart"].append({"@id": "x"})), "not in the graph"),
    ("a file that is no part", graph(lambda w, e: e["./"].update(hasPart=[])), "no part of the root"),
    ("a file that is not there", graph(lambda w, e: e["ledger.csv"].update({"@id": "other.csv"})), "other.csv is not there"),
    ("a blank in a path", graph(lambda w, e: e["ledger.csv"].update({"@id": "a b.csv"})), "no URI path"),
    ("a result that is no entity", graph(lambda w, e: e["#run"]["result"].append({"@id": "x"})), "result names x"),
    ("an entity twice", graph(lambda w, e: w["@graph"].append(e["#terms"])), "stands twice"),
    ("a nested entity", graph(lambda w, e: e["./"].update(author={"@id": "#a", "name": "A"})), "nests"),
    ("no JSON", lambda d: (d / "data/ro-crate-metadata.json").write_text("{"), "can be read"),
]


def prove_validators(dossier, work):
    for broken, faults, at in ((BROKEN_BAGS, bagit.faults, "."), (BROKEN_CRATES, crate.faults, "data")):
        for name, change, words in broken:
            copy = work / "broken"
            shutil.rmtree(copy, ignore_errors=True)
            shutil.copytree(dossier, copy)
            change(copy)
            found = faults(copy / at)
            assert any(words in fault for fault in found), f"{name}: not found; found were {found}"
    print(f"{len(BROKEN_BAGS)} broken bags and {len(BROKEN_CRATES)} broken crates: all found")


def says_no_hour(dossier, record):
    """Nothing of today, of the machine or of absolute paths in what is compared; those facts are in run.json."""
    text = (dossier / "data/ro-crate-metadata.json").read_text()
    run = json.loads((dossier / "data/run.json").read_text())
    today = datetime.datetime.now(datetime.timezone.utc)
    for day in (today, today - datetime.timedelta(days=1)):
        assert day.strftime("%Y-%m-%d") not in text, "the crate knows today"
    assert run["host"] not in text and run["compiler"] not in text and str(dossier.parent) not in text
    assert run["clock"][:4] == today.strftime("%Y")
    root = next(e for e in json.loads(text)["@graph"] if e["@id"] == "./")
    assert root["datePublished"] == record["campaign"]["period"]["to"][:10]


def complete(dossier, record):
    """Every file of the payload is described; inputs by their digests, as the record has them."""
    entities = json.loads((dossier / "data/ro-crate-metadata.json").read_text())["@graph"]
    there = {p.relative_to(dossier / "data").as_posix() for p in (dossier / "data").rglob("*") if p.is_file()}
    files = {e["name"] for e in entities if "File" in crate.types(e) and not e["@id"].startswith("ni:")}
    inputs = {e["sha256"] for e in entities if e["@id"].startswith("ni:")}
    described = {f for f in there if not f.startswith("inputs/")} - {"ro-crate-metadata.json"}
    assert files == described, files ^ described
    assert inputs == {i["sha256"] for i in record["inputs"]}
    action = next(e for e in entities if e["@type"] == "CreateAction")
    used = set(crate.ids(action["object"]))
    assert {i for i in used if i.startswith("scripts/")} and len([i for i in used if i.startswith("ni:")]) == len(inputs)


def main(root, windassay):
    with tempfile.TemporaryDirectory(prefix="windassay-") as temporary:
        work = pathlib.Path(os.path.realpath(temporary))
        shutil.copytree(root / "demo/small", work / "small")
        campaign = work / "small/campaign.lua"
        shutil.copy(work / "small/unit.csv", work / "small/ünit 1.csv")
        text = campaign.read_text(encoding="utf-8").replace('"unit.csv"', '"ünit 1.csv"')
        text = text.replace("return {", 'return { tables = { spots = "a table.csv" },', 1)
        (work / "small/a table.csv").write_text("a,b\n1,2\n")
        text = text.replace('{ "clock" }', '{ "clock", id = "clock_1" }')
        campaign.write_text(text, encoding="utf-8")
        for name, more in (("plain", []), ("whole", ["--with-data"])):
            dossier = work / name
            done = subprocess.run([windassay, "run", campaign, "--into", dossier, *more], capture_output=True, text=True, check=False)
            assert done.returncode in (0, 1, 2), done.stderr
            record = json.loads((dossier / "data/result.json").read_text())
            assert bagit.faults(dossier) == [], bagit.faults(dossier)
            assert crate.faults(dossier / "data") == [], crate.faults(dossier / "data")
            complete(dossier, record)
            says_no_hour(dossier, record)
        crates = [(work / name / "data/ro-crate-metadata.json").read_bytes() for name in ("plain", "whole")]
        assert crates[0] == crates[1]
        print("valid, with and without the data: BagIt by RFC 8493, RO-Crate 1.1, Process Run Crate 0.5")
        prove_validators(work / "plain", work)


main(pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve())
