#!/usr/bin/env python3
"""Fails when an include runs against the order of the layers, or when an outside library is used
where it does not belong (docs: DEVELOPERS.md, "Layers").

A public header belongs to the layer whose folder holds the source of the same stem (or one that
begins with it); `belongs_to` below names the layer of those that have none."""
import pathlib
import re
import sys

ORDER = ["base", "stats", "metrology", "data", "result", ("script", "report", "dossier"), "run",
         "fleet", "cli"]
RANK = {}
for rank, entry in enumerate(ORDER):
    for name in (entry if isinstance(entry, tuple) else (entry,)):
        RANK[name] = rank

# header (as included) -> where it may be used; a folder, or a single file
OUTSIDE = {
    r"openssl/": ["core/base/"],
    r"pthread\.h": ["core/base/"],
    r"gsl/": ["core/stats/"],
    r"csv\.h": ["core/data/"],
    r"zlib\.h": ["core/data/"],
    r"jansson\.h": ["core/result/"],
    r"(lua|lauxlib|lualib)\.h": ["core/script/cell/"],
    r"seccomp\.h": ["core/script/cell/"],
    r"libsmartcols": ["core/report/"],
    r"xlsxwriter": ["core/report/"],
    r"sqlite3\.h": ["core/fleet/"],
    r"getopt\.h": ["core/cli/"],
}
# "A dependency sits behind one file."
ONE_FILE = [r"openssl/", r"gsl/", r"csv\.h", r"jansson\.h", r"seccomp\.h", r"libsmartcols",
            r"zlib\.h", r"getopt\.h", r"xlsxwriter"]

BELONGS_TO = {"int128": "base", "report": "report", "records": "data", "quantile": "stats", "portable": "base",
              "random": "stats"}


def owner(root, stem):
    if stem in BELONGS_TO:
        return BELONGS_TO[stem]
    found = [p.parent.name for p in (root / "core").glob(f"*/{stem}.c")]
    found = found or [p.parent.name for p in (root / "core").glob(f"*/{stem}_*.c")]
    return found[0] if found else None


def layer_of(path, root):
    return path.relative_to(root / "core").parts[0]


def check(root):
    faults, users = [], {pattern: set() for pattern in ONE_FILE}
    headers = {p.stem: owner(root, p.stem) for p in (root / "include/windassay").glob("*.h")}
    for stem, layer in headers.items():
        if layer is None:
            faults.append(f"include/windassay/{stem}.h: no layer holds {stem}.c")
    files = sorted((root / "core").rglob("*.[ch]")) + sorted((root / "include").rglob("*.h"))
    for path in files:
        name = path.relative_to(root).as_posix()
        public = name.startswith("include/")
        layer = headers[path.stem] if public else layer_of(path, root)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            match = re.match(r'\s*#\s*include\s*[<"]([^>"]+)[>"]', line)
            if not match:
                continue
            target = match.group(1)
            place = f"{name}:{number}"
            own = re.match(r"windassay/(\w+)\.h$", target)
            private = re.match(r"(\w+)/", target)
            used = headers.get(own.group(1)) if own else None
            if not own and private and private.group(1) in RANK:
                used = private.group(1)
                if public:
                    faults.append(f"{place}: a public header includes the private '{target}'")
            if used and layer and used != layer and RANK[used] >= RANK[layer]:
                faults.append(f"{place}: layer '{layer}' may not use '{target}' of '{used}'")
            for pattern, places in OUTSIDE.items():
                if re.match(pattern, target):
                    if not any(name.startswith(p) for p in places):
                        faults.append(f"{place}: '{target}' is known to {places} only")
                    if pattern in users:
                        users[pattern].add(name)
    for pattern, names in users.items():
        if len(names) > 1:
            faults.append(f"'{pattern}' is included by more than one file: {sorted(names)}")
    return faults


if __name__ == "__main__":
    where = pathlib.Path(sys.argv[1]).resolve()
    wrong = check(where)
    print("\n".join(wrong) if wrong else "layers: every include runs to the left")
    sys.exit(1 if wrong else 0)
