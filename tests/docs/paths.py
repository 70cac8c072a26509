#!/usr/bin/env python3
"""Every path that a document names is there: paths.py ROOT

Links of Markdown, and what stands in backticks and begins with a folder of the sources. NAME,
LAYER and X in a path stand for any name, as * does."""
import pathlib
import re
import sys

FOLDERS = ("core/", "include/", "scripts/", "tests/", "docs/", "demo/")
LINK = re.compile(r"\]\(([^)#:\s]+)(?:#[^)]*)?\)")
CODE = re.compile(r"`([^`\s]+)`")


def there(root, path):
    pattern = re.sub(r"\b(NAME|LAYER|X)\b", "*", path.replace("_NAME", "_*")).rstrip("/")
    return any(root.glob(pattern))


def main(root):
    wrong = []
    for document in [*root.glob("*.md"), *(root / "docs").rglob("*.md"), *(root / "tests").rglob("*.md")]:
        for number, line in enumerate(document.read_text(encoding="utf-8").splitlines(), 1):
            place = f"{document.relative_to(root)}:{number}"
            for link in LINK.findall(line):
                if not (document.parent / link).exists():
                    wrong.append(f"{place}: there is no {link}")
            for path in CODE.findall(line):
                if path.startswith(FOLDERS) and re.fullmatch(r"[\w./*-]+", path) and not there(root, path):
                    wrong.append(f"{place}: there is no {path}")
    print("\n".join(wrong) if wrong else "documents: every path is there")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(pathlib.Path(sys.argv[1]).resolve()))
