#!/usr/bin/env python3
"""Is a folder a complete and valid bag? Written from memory of RFC 8493 (The BagIt File Packaging Format, V1.0; recalled) with the
Python standard library alone; section numbers are the RFC's. `faults(folder)` is a list of sentences, empty
for a valid bag.

    bagit.py FOLDER..."""
import hashlib
import pathlib
import re
import sys

# 2.4: names as in the registry of hash functions, lower case, without other characters
ALGORITHMS = {"md5": "md5", "sha1": "sha1", "sha224": "sha224", "sha256": "sha256", "sha384": "sha384", "sha512": "sha512"}


def declaration(folder):
    """2.1.1: bagit.txt has exactly two lines, is UTF-8 without a byte order mark."""
    path = folder / "bagit.txt"
    if not path.is_file():
        return ["there is no bagit.txt (2.1.1)"]
    lines = re.split(rb"\r\n|\r|\n", path.read_bytes())
    if lines and lines[-1] == b"":
        lines.pop()
    wrong = []
    if len(lines) != 2:
        wrong.append(f"bagit.txt has {len(lines)} lines (2.1.1)")
    if not lines or not re.fullmatch(rb"BagIt-Version: \d+\.\d+", lines[0]):
        wrong.append("bagit.txt does not begin with BagIt-Version: M.N (2.1.1)")
    if len(lines) < 2 or lines[1] != b"Tag-File-Character-Encoding: UTF-8":
        wrong.append("bagit.txt does not say Tag-File-Character-Encoding: UTF-8 (2.1.1)")
    return wrong


def decode(path):
    """2.1.3: line feed, carriage return and per cent are percent-encoded, nothing else is."""
    return re.sub(r"%(0A|0D|25)", lambda m: chr(int(m.group(1), 16)), path, flags=re.I)


def manifest(path, wrong):
    """2.1.3, 2.2.1: lines of a checksum and a path; gives { path: checksum }."""
    listed = {}
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        match = re.fullmatch(r"([0-9A-Fa-f]+)[ \t]+\*?(.+)", line)
        if not match:
            wrong.append(f"{path.name}:{number} is no checksum and path (2.1.3)")
            continue
        name = decode(match.group(2))
        if name.startswith(("/", "~")) or ".." in name.split("/") or re.match(r"[A-Za-z]:", name):
            wrong.append(f"{path.name}:{number} leads out of the bag (5.1)")
        elif name in listed:
            wrong.append(f"{path.name}:{number} lists {name} again (2.1.3)")
        listed[name] = match.group(1).lower()
    return listed


def prove(folder, listed, algorithm, where):
    wrong = []
    for name, checksum in listed.items():
        file = folder / name
        if not file.is_file():
            wrong.append(f"{name} is in {where} and not there (3)")
        elif hashlib.new(ALGORITHMS[algorithm], file.read_bytes()).hexdigest() != checksum:
            wrong.append(f"{name} has not the checksum of {where} (3)")
    return wrong


def information(folder, payload):
    """2.2.2: LABEL: VALUE, continued lines indented; Payload-Oxum counts octets and files."""
    path, wrong, found = folder / "bag-info.txt", [], {}
    if not path.is_file():
        return wrong
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        match = re.fullmatch(r"([^\s:][^:]*):\s+(\S.*)", line)
        if match:
            found[match.group(1).lower()] = match.group(2)
        elif not re.match(r"[ \t]+\S", line):
            wrong.append(f"bag-info.txt:{number} is no label and value (2.2.2)")
    oxum = f"{sum((folder / name).stat().st_size for name in payload)}.{len(payload)}"
    if found.get("payload-oxum", oxum) != oxum:
        wrong.append(f"Payload-Oxum says {found['payload-oxum']}, the payload is {oxum} (2.2.2)")
    if not re.fullmatch(r"\d{4}-\d\d-\d\d", found.get("bagging-date", "2000-01-01")):
        wrong.append("Bagging-Date is no date YYYY-MM-DD (2.2.2)")
    return wrong


def faults(folder):
    folder = pathlib.Path(folder)
    wrong = declaration(folder)
    if not (folder / "data").is_dir():
        return wrong + ["there is no data/ (2.1.2)"]
    files = sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file() or p.is_symlink())
    payload = [name for name in files if name.startswith("data/")]
    manifests = [p for p in folder.iterdir() if re.fullmatch(r"manifest-[a-z0-9]+\.txt", p.name)]
    tags = [p for p in folder.iterdir() if re.fullmatch(r"tagmanifest-[a-z0-9]+\.txt", p.name)]
    if not manifests:
        wrong.append("there is no payload manifest (2.1.3)")
    for path in manifests + tags:
        algorithm = path.name.split("-")[1][:-4]
        if algorithm not in ALGORITHMS:
            wrong.append(f"{path.name}: an algorithm that nobody knows (2.4)")
            continue
        listed = manifest(path, wrong)
        wrong += prove(folder, listed, algorithm, path.name)
        if path in tags:
            wrong += [f"{path.name} lists {name}, which is payload (2.2.1)" for name in listed if name.startswith("data/")]
            wrong += [f"{path.name} lists a tag manifest (2.2.1)" for name in listed if name.startswith("tagmanifest-")]
            wrong += [f"{path.name} does not list {m.name} (2.2.1)" for m in manifests if m.name not in listed]
        else:
            wrong += [f"{path.name} lists {name}, which is no payload (2.1.3)" for name in listed if not name.startswith("data/")]
            wrong += [f"{name} is in no line of {path.name} (3)" for name in payload if name not in listed]
    return wrong + information(folder, payload)


if __name__ == "__main__":
    all_faults = [f"{folder}: {fault}" for folder in sys.argv[1:] for fault in faults(folder)]
    print("\n".join(all_faults) or "valid")
    sys.exit(bool(all_faults))
