#!/usr/bin/env python3
"""Runs the code blocks of a document, in order, in one folder of its own.

    run.py [--renew] ROOT BUILD DOCUMENT.md

    ```console       lines that begin with "$ " are run by sh, "> " continues one; the lines below
                     are what must come out, "..." stands for any lines
    ```sh            is run by sh -eu and must succeed
    ```sh skip       is not run (it installs, or names what the reader has)
    ```LANG PATH     the text of the file PATH: if the sources hold it, it must be equal, else it is
                     written; other blocks are left alone

demo/first and demo/small lie in the folder as in the sources. --renew writes the outputs of console
blocks and the texts of files anew (not outputs with "...")."""
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

FENCE = re.compile(r"^```(\S+)?[ ]?(.*)$")
OURS = {"sh demo/run.sh", "sh tests/run.sh"}


def blocks(lines):
    """Yields (language, rest, first line, line after the last) of each fenced block."""
    start = None
    for number, line in enumerate(lines):
        match = FENCE.match(line)
        if match and start is None:
            start, language, rest = number + 1, match.group(1) or "", match.group(2)
        elif line == "```":
            yield language, rest, start, number
            start = None
    if start is not None:
        raise SystemExit(f"line {start}: a block that does not end")


def run(command, folder, build):
    environment = {"PATH": f"{build}:/usr/local/bin:/usr/bin:/bin", "HOME": str(folder),
                   "LC_ALL": "C.UTF-8", "TZ": "UTC"}
    done = subprocess.run(["sh", "-c", command], cwd=folder, env=environment, timeout=300,
                          stdin=subprocess.DEVNULL, capture_output=True, check=False)
    text = (done.stdout + done.stderr).decode("utf-8", "backslashreplace")
    return done.returncode, text.replace(str(folder) + "/", "").splitlines()


def matches(expected, found):
    """Whether the lines are those expected; a line "..." stands for any lines."""
    if not expected:
        return not found
    if expected[0] == "...":
        return any(matches(expected[1:], found[i:]) for i in range(len(found) + 1))
    return bool(found) and expected[0].rstrip() == found[0].rstrip() and matches(expected[1:], found[1:])


def commands(lines):
    """A list of [command lines, output lines] of a console block."""
    found = []
    for line in lines:
        if line.startswith("$ "):
            found.append([[line], []])
        elif line.startswith("> ") and not found[-1][1]:
            found[-1][0].append(line)
        else:
            found[-1][1].append(line)
    return found


def console(lines, folder, build, wrong, place):
    result = []
    for command, expected in commands(lines):
        _, found = run("\n".join(line[2:] for line in command), folder, build)
        if not matches(expected, found):
            wrong.append("\n".join([f"{place}: {command[0]}", "  expected:", *expected, "  found:",
                                    *found]))
        result += command + (expected if "..." in expected else found)
    return result


def shell(lines, folder, root, build, wrong, place):
    ours = {re.sub(r"\s+#.*", "", line) for line in lines}
    if ours <= OURS:
        missing = [o for o in ours if not (root / o.split()[1]).is_file()]
        wrong += [f"{place}: there is no {o}" for o in missing]
        return
    code, found = run("set -eu\n" + "\n".join(lines), folder, build)
    if code != 0:
        wrong.append("\n".join([f"{place}: exit code {code}", *found]))


def text_of(path, lines, folder, root, wrong, place):
    source, text = root / path, "\n".join(lines) + "\n"
    if source.is_file():
        kept = source.read_text(encoding="utf-8")
        if kept != text:
            wrong.append(f"{place}: differs from {path}")
        return kept.splitlines()
    (folder / path).parent.mkdir(parents=True, exist_ok=True)
    (folder / path).write_text(text, encoding="utf-8")
    return lines


def check(document, root, build, renew):
    lines, wrong, new, done = document.read_text(encoding="utf-8").splitlines(), [], [], 0
    with tempfile.TemporaryDirectory(prefix="windassay-") as temporary:
        folder = pathlib.Path(os.path.realpath(temporary))
        for name in ("first", "small"):
            shutil.copytree(root / "demo" / name, folder / "demo" / name)
        for language, rest, start, end in blocks(lines):
            block, place = lines[start:end], f"{document.name}:{start}"
            if language == "console":
                block = console(block, folder, build, wrong, place)
            elif language == "sh" and rest != "skip":
                shell(block, folder, root, build, wrong, place)
            elif rest and rest != "skip":
                block = text_of(rest, block, folder, root, wrong, place)
            new += lines[done:start] + block
            done = end
    if renew:
        document.write_text("\n".join(new + lines[done:]) + "\n", encoding="utf-8")
    return wrong


def main(arguments):
    renew = arguments[:1] == ["--renew"]
    root, build, document = [pathlib.Path(a).resolve() for a in arguments[1 if renew else 0:]]
    wrong = check(document, root, build, renew)
    print("\n".join(wrong) if wrong else f"{document.name}: every block as it stands")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
