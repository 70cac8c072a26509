#!/usr/bin/env python3
"""How good was the forecast? The demo's unit NL-0417, cut after some days.

    progress_demo.py ROOT BUILD

What `windassay progress` said of the campaign as it stood after 3, 7, 14 and 21 days is held against the day on
which everything was there, which is found by asking after every day from the 14th on:

- after 3 and 7 days: not enough, and a bin without any record has no forecast;
- after 14 days: the forecast is within a factor of two of the day on which the campaign became decidable, counted
  from its start and counted from that day on, and that day lies within the stated interval;
- after 21 days: enough. `run` over a period that ends on that day decides, and on the day before it does not."""
import datetime
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile

START = datetime.datetime(2026, 3, 2)


def cut(demo, data, folder, days):
    """The demo's root with what was there `days` days after the start."""
    end = START + datetime.timedelta(days=days)
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "data/mast").mkdir(parents=True)
    (folder / "data/raw/NL-0417").mkdir(parents=True)
    shutil.copy(demo / "fleet.lua", folder)
    for name in ("shared", "NL-0417"):
        shutil.copytree(demo / name, folder / name)
    for file in (data / "raw/NL-0417").iterdir():
        if datetime.datetime.fromisoformat(file.name.split("_")[1][:10]) < end:
            os.link(file, folder / "data/raw/NL-0417" / file.name)
    for file in (data / "mast").iterdir():
        lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
        kept = [line for line in lines[2:]  # stamps are ends of intervals in UTC+01:00
                if datetime.datetime.strptime(line[:16], "%d.%m.%Y %H:%M") - datetime.timedelta(hours=1) <= end]
        (folder / "data/mast" / file.name).write_text("".join(lines[:2] + kept), encoding="utf-8")


def main(root, build):
    with tempfile.TemporaryDirectory(prefix="windassay-") as temporary:
        work = pathlib.Path(temporary)
        subprocess.run([build / "windassay-demo-data", work / "data"], check=True)

        def windassay(command, days, *more):
            cut(root / "demo", work / "data", work / "cut", days)
            if command == "run":  # of a period that ends there
                campaign = work / "cut/NL-0417/campaign.lua"
                to = (START + datetime.timedelta(days=days)).isoformat()
                text = campaign.read_text(encoding="utf-8").replace("2026-03-31T00:00:00", to)
                campaign.write_text(text, encoding="utf-8")
            done = subprocess.run([build / "windassay", command, work / "cut/NL-0417/campaign.lua", *more],
                                  capture_output=True, text=True, check=False)
            if done.returncode not in (0, 2):
                sys.exit(f"{command} after {days} days: {done.stderr}")
            return done

        def progress(days):
            done = windassay("progress", days, "--json")
            said = json.loads(done.stdout)
            assert said["days"] == days and said["enough"] == (done.returncode == 0), said["days"]
            return said

        for days in (3, 7):
            said = progress(days)
            assert not said["enough"]
            assert any("centred at 2.5: none so far" in text for text in said["no_forecast"]), said["no_forecast"]
        said = progress(14)
        assert not said["enough"] and not said["no_forecast"]
        forecast = said["forecast"]
        decidable = next(day for day in range(15, 30) if progress(day)["enough"])
        assert progress(21)["enough"] and decidable <= 21
        outcome = [windassay("run", day, "--into", work / f"run{day}").returncode for day in (decidable - 1, decidable)]

        waited = decidable - 14
        print(f"decidable after {decidable} days; the forecast of day 14: {forecast['middle']:.1f} more days "
              f"({forecast['low']:.1f} to {forecast['high']:.1f}); it took {waited}")
        assert 0.5 <= (14 + forecast["middle"]) / decidable <= 2
        assert 0.5 <= forecast["middle"] / waited <= 2
        assert forecast["low"] <= waited <= forecast["high"]
        print("run on the day before and on that day: exit codes", *outcome)
        assert outcome[0] == 2 and outcome[1] != 2


main(*map(pathlib.Path, sys.argv[1:]))
