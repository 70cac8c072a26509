#!/usr/bin/env python3
"""Audits every golden dossier: what the version of its name wrote must come out again, number by number.

    check.py ROOT BUILD

A dossier of an earlier version may lack what later ones add; nothing that it says may be another one, but for what is listed
here with its reason (and in docs/CHANGELOG.md)."""
import json
import pathlib
import subprocess
import sys

# version: { the beginning of a place in a check: why it is another one now }
ACCEPTED = {
    "0.1.0": {
        "stability": "each day is left out in turn by default, and what variants give has its u",
    },
}

root, build = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])


def audit(dossier, *more):
    done = subprocess.run([build / "windassay", "audit", dossier, "--json", *more], capture_output=True, text=True,
                          timeout=120, check=False)
    if done.returncode not in (0, 1):
        raise SystemExit(f"{dossier}: exit code {done.returncode}: {done.stdout}{done.stderr}")
    return json.loads(done.stdout)


def faults(found, accepted):
    for level in found["levels"]:
        if level["name"] in ("manifest", "decision") and level["outcome"] != "identical":
            yield f"{level['name']}: {level['text']}"
    if not any(level["name"].startswith("from") and level["outcome"] != "not done" for level in found["levels"]):
        yield "nothing was computed"
    if found["differences_all"] > len(found["differences"]):
        yield f"{found['differences_all']} differences, too many to be looked at"
    for d in found["differences"]:
        if "before" in d and not any(d.get("place", "").startswith(p) for p in accepted):
            yield json.dumps(d)
    for f in found.get("files", []):
        if f["kind"] == "evidence" and f["state"] != "is not in the dossier" and f["path"] != "result.json":
            yield f"{f['path']} {f['state']}"


failed = False
for dossier in sorted(p for p in (root / "tests/golden").iterdir() if (p / "bagit.txt").is_file()):
    for more in ((), ("--from-intervals",)):
        found = audit(dossier, *more)
        wrong = list(faults(found, ACCEPTED.get(dossier.name, {})))
        print(f"{dossier.name}{' '.join(('',) + more)}: {found['outcome']}, {found['differences_all']} differences, {len(wrong)} of them not accepted")
        for line in wrong[:20]:
            print("  " + line)
        failed |= bool(wrong)
sys.exit(failed)
