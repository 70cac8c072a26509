#!/usr/bin/env python3
"""Runs commands and compares what they say, to the byte.

    run.py [--renew] ROOT BUILD CASE.t...

A case file is text. Lines:
    # words          a comment
    $ command        run by sh in a folder of its own (files/ and demo/small lie in it as copies)
    . text           another line of the command
    > text           a line of its standard output
    ! text           a line of its standard error
    [N]              its exit code, where it is not 0

Paths of the folder and of the sources are shown as WORK and ROOT, a carriage return as \\r. With --renew the expected lines
are written anew: read the difference before you commit it."""
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile


def parse(text):
    """A list of [kind, lines]: kind "text" (kept as it is) or "command"; and what is expected."""
    parts = []
    for line in text.splitlines():
        if line.startswith("$ "):
            parts.append({"command": [line[2:]], "expected": []})
        elif line.startswith(". ") and parts and "command" in parts[-1] and not parts[-1]["expected"]:
            parts[-1]["command"].append(line[2:])
        elif line[:2] in ("> ", "! ") or line in (">", "!") or line.startswith("["):
            parts[-1]["expected"].append(line)
        else:
            parts.append({"text": line})
    return parts


def mark(sign, text):
    lines = text.split("\n")
    last = lines.pop()
    marked = [f"{sign} {line}" if line else sign for line in lines]
    if last:
        marked.append(f"{sign} {last}\\no newline at the end")
    return marked


def run(command, folder, root, build):
    environment = {"PATH": f"{build}:/usr/local/bin:/usr/bin:/bin", "ROOT": str(root),
                   "BUILD": str(build), "HOME": str(folder), "LC_ALL": "C.UTF-8", "TZ": "UTC"}
    done = subprocess.run(["sh", "-c", "\n".join(command)], cwd=folder, env=environment,
                          stdin=subprocess.DEVNULL, capture_output=True, timeout=300, check=False)
    shown = []
    for sign, output in ((">", done.stdout), ("!", done.stderr)):
        text = output.decode("utf-8", "backslashreplace")
        text = text.replace(str(folder), "WORK").replace(str(root), "ROOT").replace("\r", "\\r")
        shown += mark(sign, text)
    return shown + ([f"[{done.returncode}]"] if done.returncode else [])


def prepare(folder, root):
    shutil.copytree(root / "tests/program/files", folder, dirs_exist_ok=True)
    shutil.copytree(root / "demo/small", folder / "small")


def keep_records(folder, build, case):
    """Every record that a case left goes where the schema test (record.schema) finds it."""
    kept = build / "tests/records/program" / case
    shutil.rmtree(kept, ignore_errors=True)
    for n, record in enumerate(sorted(folder.rglob("result.json"))):
        (kept / str(n)).mkdir(parents=True)
        shutil.copy(record, kept / str(n) / "result.json")


def check(path, root, build, renew):
    """Runs one case file; gives the differences as lines."""
    parts, wrong = parse(path.read_text(encoding="utf-8")), []
    with tempfile.TemporaryDirectory(prefix="windassay-") as temporary:
        folder = pathlib.Path(os.path.realpath(temporary))
        prepare(folder, root)
        for part in parts:
            if "command" not in part:
                continue
            found = run(part["command"], folder, root, build)
            if found != part["expected"]:
                wrong += ["$ " + "\n. ".join(part["command"]), "  expected:"]
                wrong += ["    " + line for line in part["expected"]] + ["  found:"]
                wrong += ["    " + line for line in found]
            part["expected"] = found
        keep_records(folder, build, path.stem)
    if renew:
        lines = []
        for part in parts:
            if "text" in part:
                lines.append(part["text"])
            else:
                lines.append("$ " + part["command"][0])
                lines += [f". {line}" for line in part["command"][1:]] + part["expected"]
        path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return wrong


def main(arguments):
    renew = arguments[:1] == ["--renew"]
    root, build, *cases = [pathlib.Path(a).resolve() for a in arguments[1 if renew else 0:]]
    bad = 0
    for path in cases:
        wrong = check(path, root, build, renew)
        if wrong and not renew:
            bad += 1
            print(f"{path.relative_to(root)}:", *wrong, sep="\n")
        else:
            print(f"{path.relative_to(root)}: {'renewed' if wrong else 'as expected'}")
    return 1 if bad or not cases else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
