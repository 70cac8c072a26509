#!/usr/bin/env python3
"""The spreadsheet of a dossier, read by a parser that is not ours (openpyxl), against the dossier's own
CSV tables and record: every table is there, every cell has the same value (a spreadsheet keeps
16 digits), no text became a formula, the same record gives the same bytes.

usage: workbook.py PROGRAM CAMPAIGN_FOLDER       (the folder is copied, campaign.lua in it is run)
"""

import csv
import json
import math
import pathlib
import shutil
import subprocess
import sys
import tempfile

import openpyxl

SIGNS = "[]:*?/\\'"


def run(program, campaign, into):
    done = subprocess.run([program, "run", campaign, "--into", into], capture_output=True, text=True)
    assert done.returncode < 64, done.stderr


def same(cell, text, where):
    if cell.value is None:
        assert text == "", f"{where}: empty, the table has {text!r}"
        return
    assert cell.data_type in ("n", "s"), f"{where}: a cell of type {cell.data_type}"
    if cell.data_type == "n":
        assert math.isclose(cell.value, float(text), rel_tol=1e-15), f"{where}: {cell.value} {text}"
    else:
        assert cell.value == text, f"{where}: {cell.value!r}, the table has {text!r}"


def check_tables(dossier):
    record = json.loads((dossier / "data/result.json").read_text())
    book = openpyxl.load_workbook(dossier / "data/tables.xlsx")
    sheets = list(book.worksheets)
    assert sheets[0].title == "summary"
    tables = [(c["id"], t) for c in record["checks"] for t in c.get("tables", [])]
    assert len(sheets) == len(tables) + 1, (len(sheets), len(tables))
    cells = 0
    for number, ((check, table), sheet) in enumerate(zip(tables, sheets[1:]), 1):
        name = "".join("_" if c in SIGNS else c for c in f"{number} {table['name']}")[:31]
        assert sheet.title == name, (sheet.title, name)
        assert sheet["A1"].value == f"{check}: {table['name']}"
        file = f"{check}.{table['name']}.csv".replace(":", ".")
        file = "".join(c if c.isascii() and (c.isalnum() or c in "-_.") else "_" for c in file)
        rows = list(csv.reader((dossier / "data/tables" / file).open(newline="")))
        for i, row in enumerate(rows[1:]):
            for c, text in enumerate(row):
                same(sheet.cell(i + 3, c + 1), text, f"{sheet.title}, row {i + 3}, column {c + 1}")
                cells += 1
        for c, column in enumerate(table["columns"]):
            assert sheet.cell(2, c + 1).value.startswith(column["name"])
    return record, book["summary"], cells


def check_summary(record, summary):
    rows = [[c.value for c in row] for row in summary.iter_rows()]
    assert rows[1][:2] == ["outcome", record["outcome"]], rows[1]
    digest = next(r[1] for r in rows if r[0] == "SHA-256 of result.json")
    head = next(i for i, r in enumerate(rows) if r[0] == "check")
    wanted = [(c["id"], r) for c in record["checks"] for r in c.get("requirements", [])]
    for row, (check, r) in zip(rows[head + 1:], wanted):
        assert row[0] == check and row[1] == r["name"] and row[7] == r.get("outcome"), (row, r)
        for value, known in ((row[2], r.get("value")), (row[4], r.get("u"))):
            assert (value is None) == (known is None), (row, r)
            assert value is None or math.isclose(value, known, rel_tol=1e-15), (row, r)
    return digest, len(wanted)


def main(program, folder):
    work = pathlib.Path(tempfile.mkdtemp())
    try:
        shutil.copytree(folder, work / "campaign")
        campaign = work / "campaign/campaign.lua"
        text = campaign.read_text()
        assert text.count("title") > 0
        run(program, campaign, work / "one")
        run(program, campaign, work / "two")
        one, two = ((work / d / "data/tables.xlsx").read_bytes() for d in ("one", "two"))
        assert one == two, "the same record gave other bytes"
        record, summary, cells = check_tables(work / "one")
        digest, requirements = check_summary(record, summary)
        listed = (work / "one/manifest-sha256.txt").read_text()
        assert f"{digest}  data/result.json" in listed, "the summary names another record"
        # A text that looks like a formula stays text.
        campaign.write_text(text.replace('title = "', 'title = "=1+1 ', 1).replace(
            'title  = "', 'title  = "=1+1 ', 1))
        run(program, campaign, work / "formula")
        _, summary, _ = check_tables(work / "formula")
        title = summary["B1"]
        assert title.data_type == "s" and title.value.startswith("=1+1"), (title.data_type, title.value)
        print(f"{cells} cells of tables and {requirements} requirements, all as in the record")
        assert cells > 100 and requirements > 2
    finally:
        shutil.rmtree(work)


main(sys.argv[1], sys.argv[2])
