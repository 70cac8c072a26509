#!/usr/bin/env python3
"""Validates every result.json below the folders given: validate.py SCHEMA FOLDER...

The schema (JSON Schema 2020-12, by python3-jsonschema, which is not ours) says what a record may
hold; what a schema cannot say is checked here: sums, lengths, unique names, the worst outcome.
Then the best of the records is spoilt in many ways, and each must be refused, so that this test is
known to fail where it should."""
import copy
import json
import pathlib
import sys

import jsonschema

ORDER = ["no decision asked", "pass", "conditional pass", "inconclusive", "conditional fail", "fail",
         "error"]


def unique(names):
    return len(set(names)) == len(names)


def check_faults(check):
    where = "check " + check["id"]
    for account in check["accounts"]:
        states = ("used", "records_only", "outside", "excluded")
        if sum(account[s] for s in states) != account["grid"]:
            yield f"{where}: account {account['name']}: the states do not sum to the grid"
    accounts = [a["name"] for a in check["accounts"]]
    if any(e["account"] not in accounts for e in check["exclusions"]):
        yield f"{where}: an exclusion of no account"
    for key in ("values", "tables", "figures", "accounts", "parameters"):
        if not unique([v["name"] for v in check[key]]):
            yield f"{where}: a name of {key} stands twice"
    for table in check["tables"]:
        if any(len(row) != len(table["columns"]) for row in table["rows"]):
            yield f"{where}: table {table['name']}: a row of another width"
    for figure in check["figures"]:
        for s in figure["series"]:
            if s["kind"] == "counts":
                if len(s["count"]) != s["nx"] * s["ny"]:
                    yield f"{where}: figure {figure['name']}: counts do not fill the grid"
            elif len({len(v) for v in s.values() if isinstance(v, list)}) > 1:
                yield f"{where}: figure {figure['name']}: lists of different lengths"
    for row in check["requirements"]:
        low, high = (row.get("limits", {}).get(k) for k in ("lower", "upper"))
        if row.get("rule") == "simple" and row["outcome"] in ("pass", "fail"):
            inside = (low is None or row["value"] >= low) and (high is None or row["value"] <= high)
            if inside != (row["outcome"] == "pass"):
                yield f"{where}: requirement {row['name']}: decided against its limits"


def faults(record):
    rows = [r for c in record["checks"] for r in c["requirements"] if r.get("use") == "contract"]
    counted = ["inconclusive" if r["outcome"] == "not tested" else r["outcome"] for r in rows]
    worst = max(counted, key=ORDER.index, default="no decision asked")
    if record["outcome"] != worst:
        yield f"the outcome is '{record['outcome']}', the worst of the contract is '{worst}'"
    if not unique([c["id"] for c in record["checks"]]):
        yield "an id stands twice"
    grid = record["campaign"].get("grid", {}).get("intervals")  # absent: a free script
    if any(a["grid"] != grid for c in record["checks"] for a in c["accounts"]):
        yield "an account over another grid"
    for check in record["checks"]:
        yield from check_faults(check)


def all_faults(validator, record):
    found = [f"/{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}"
             for e in validator.iter_errors(record)]
    return found or list(faults(record))


def no_duplicates(pairs):
    if not unique([k for k, _ in pairs]):
        raise ValueError("a key stands twice")
    return dict(pairs)


def spoilt(record):
    """Copies of a record, each with one thing wrong: (what, copy)."""
    def copy_with(change):
        r = copy.deepcopy(record)
        change(r)
        return r
    check = next(i for i, c in enumerate(record["checks"])
                 if c["accounts"] and c["tables"] and c["requirements"] and c["status"] == "ran"
                 and c["requirements"][0].get("limits"))
    c = lambda r: r["checks"][check]
    changes = {
        "an unknown key": lambda r: r.update(host="x"),
        "a missing key": lambda r: r.pop("sentence"),
        "another outcome": lambda r: r.update(outcome="pass" if r["outcome"] != "pass" else "fail"),
        "an unknown outcome": lambda r: r.update(outcome="passed"),
        "a local time": lambda r: r["campaign"]["grid"].update({"from": "2026-03-02 00:00:00"}),
        "a short digest": lambda r: r["scripts"].append({"path": "a", "sha256": "abc"}),
        "an account that does not add up": lambda r: c(r)["accounts"][0].update(
            used=c(r)["accounts"][0]["used"] + 1),
        "half an interval": lambda r: c(r)["accounts"][0].update(used=0.5),
        "a wide row": lambda r: c(r)["tables"][0]["rows"].append(
            [None] * (1 + len(c(r)["tables"][0]["columns"]))),
        "an id twice": lambda r: r["checks"].append(c(r)),
        "a limit without source": lambda r: c(r)["requirements"][0].pop("limit_source"),
        "a limit without evidence": lambda r: c(r)["requirements"][0].pop("evidence"),
        "no limits at all": lambda r: c(r)["requirements"][0].update(limits={}),
        "a probability above one": lambda r: c(r)["requirements"][0].update(
            probability_of_conformity=1.5),
        "u from nowhere": lambda r: [c(r)["requirements"][0].pop(k, None)
                                     for k in ("source", "scatter_only")]
        + [c(r)["requirements"][0].update(u=1)],
        "a status with a reason": lambda r: c(r).update(reason="x"),
    }
    for what, change in changes.items():
        yield what, copy_with(change)


def main(schema_path, *folders):
    schema = json.loads(pathlib.Path(schema_path).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    paths = sorted(p for f in folders for p in pathlib.Path(f).rglob("result.json"))
    if not paths:
        return "no result.json below " + ", ".join(folders)
    wrong, best = 0, None
    for path in paths:
        record = json.loads(path.read_text(encoding="utf-8"), object_pairs_hook=no_duplicates)
        found = all_faults(validator, record)
        for fault in found[:10]:
            print(f"{path}: {fault}")
        wrong += bool(found)
        if not found and any(c["tables"] and c["accounts"] and c["requirements"]
                             and c["status"] == "ran" and c["requirements"][0].get("limits")
                             for c in record["checks"]):
            best = best or record
    if best is None:
        return "no record is rich enough to be spoilt"
    for what, record in spoilt(best):
        if not all_faults(validator, record):
            print(f"not noticed: {what}")
            wrong += 1
    print(f"{len(paths)} records")
    return wrong


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
