#!/usr/bin/env python3
"""Reads what the report draws and writes with parsers that are not ours (Python's expat and
html.parser): drawings are well-formed XML, pages have matching tags, no attribute that acts,
and all that is said inside them stays inside the paper.

The record behind the first page is held against the published schema as well.

usage: report_pages.py FIXTURES SCHEMA.json PAGE.html...
"""

import json
import pathlib
import sys
import xml.etree.ElementTree as tree
from html.parser import HTMLParser

import jsonschema

SVG = "{http://www.w3.org/2000/svg}"
VOID = {"meta", "br", "wbr", "rect", "path", "circle", "polyline", "polygon"}


def check_drawing(name, text):
    root = tree.fromstring(text)
    assert root.tag == SVG + "svg", name
    width, height = (int(n) for n in root.get("viewBox").split()[2:])
    for e in root.iter():
        assert e.tag.startswith(SVG), f"{name}: {e.tag}"
        for key, value in e.attrib.items():
            assert not key.startswith("on") and "href" not in key, f"{name}: {key}"
            if key in ("x", "cx", "width"):
                assert -1 <= int(value) <= width, f"{name}: {key}={value}"
            if key in ("y", "cy", "height"):
                assert -1 <= int(value) <= height, f"{name}: {key}={value}"


class Page(HTMLParser):
    """Keeps the open tags; what closes must be what was opened last."""

    def __init__(self, name):
        super().__init__(convert_charrefs=True)
        self.name, self.open, self.ids, self.links, self.heads = name, [], [], [], 0

    def handle_starttag(self, tag, attrs):
        for key, value in attrs:
            assert not key.startswith("on"), f"{self.name}: {key}"
            if key == "id":
                self.ids.append(value)
            if key == "href":
                self.links.append(value)
        if tag == "th":
            assert dict(attrs).get("scope") in ("col", "row", "rowgroup"), f"{self.name}: {attrs}"
            self.heads += 1
        if tag not in VOID or (tag in ("rect", "path", "circle") and not self.closed(tag)):
            self.open.append(tag)

    def closed(self, tag):
        return self.get_starttag_text().rstrip().endswith("/>")

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag):
        assert self.open and self.open[-1] == tag, f"{self.name}:{self.getpos()}: </{tag}>"
        self.open.pop()


def check_page(name, text):
    page = Page(name)
    page.feed(text)
    page.close()
    assert page.open == [], f"{name}: {page.open} left open"
    assert len(page.ids) == len(set(page.ids)), f"{name}: an id stands twice"
    for link in page.links:
        assert link[0] == "#" and link[1:] in page.ids, f"{name}: {link}"
    assert page.heads > 10, name
    at = 0
    while (at := text.find("<svg xmlns", at)) >= 0:
        end = text.index("</svg>", at) + len("</svg>")
        check_drawing(name, text[at:end])
        at = end


def main():
    drawings = sorted(pathlib.Path(sys.argv[1]).glob("*.svg"))
    assert len(drawings) >= 5
    for path in drawings:
        check_drawing(path.name, path.read_text(encoding="utf-8"))
    record = json.loads(pathlib.Path(sys.argv[1], "campaign.json").read_text(encoding="utf-8"))
    jsonschema.validate(record, json.loads(pathlib.Path(sys.argv[2]).read_text(encoding="utf-8")))
    for path in sys.argv[3:]:
        check_page(path, pathlib.Path(path).read_text(encoding="utf-8"))
    print(f"{len(drawings)} drawings and {len(sys.argv) - 3} pages")


main()
