"""What the tests of checks share: an invented generator of numbers, writing of CSV, a run of the
program, reading of its record, plain statistics. Nothing of the program's own code is used."""
import json
import math
import pathlib
import subprocess
import sys


class Numbers:
    """The same on every machine: Park and Miller's generator, Box and Muller's normals."""

    def __init__(self, seed):
        self.state = seed

    def uniform(self):
        self.state = self.state * 48271 % 2147483647
        return self.state / 2147483647

    def normal(self, sd=1.0):
        return sd * math.sqrt(-2 * math.log(self.uniform())) * math.cos(2 * math.pi * self.uniform())


def stamp(i):
    """Start of interval i of 10 minutes from 2026-03-02T00:00:00Z."""
    return f"2026-03-{2 + i // 144:02d}T{i // 6 % 24:02d}:{i % 6}0:00Z"


def write(path, rows):
    """rows: a list of dicts with equal keys; None is an empty field. The values are rounded to what
    is written, in place, so that what is expected starts from the same numbers."""
    with open(path, "w", encoding="utf-8") as f:
        f.write(",".join(["time"] + list(rows[0])) + "\n")
        for i, row in enumerate(rows):
            for key, value in row.items():
                if value is not None:
                    row[key] = float(f"{value:.4f}")
            f.write(",".join([stamp(i)] + ["" if v is None else f"{v:.4f}" for v in row.values()]) + "\n")


class Record:
    def __init__(self, windassay, campaign):
        done = subprocess.run([windassay, "run", campaign, "--json", "--replace"], capture_output=True, text=True,
                              check=False)
        if '"checks"' not in done.stdout:
            sys.exit(f"{campaign}: {done.returncode} {done.stderr}{done.stdout}")
        self.checks = {c["id"]: c for c in json.loads(done.stdout)["checks"]}
        self.faults = []
        for c in self.checks.values():
            if c["status"] != "ran":
                self.faults.append(f"{c['id']}: {c['status']} {c.get('reason')} {c.get('error')}")

    def _named(self, check, kind, name):
        for entry in self.checks[check][kind]:
            if entry["name"] == name:
                return entry
        self.faults.append(f"{check}: no {name} in {kind}")
        return None

    def value(self, check, name):
        entry = self._named(check, "values", name)
        return entry and entry["value"]

    def u(self, check, name):
        entry = self._named(check, "values", name)
        return entry and entry.get("u")

    def column(self, check, table, name):
        entry = self._named(check, "tables", table)
        if entry is None:
            return []
        at = [c["name"] for c in entry["columns"]].index(name)
        return [row[at] for row in entry["rows"]]

    def notes(self, check):
        return " | ".join(self.checks[check]["notes"])

    def expect(self, what, found, right, tolerance=1e-10):
        """Equal, or equal within a part of the right value (or of 1)."""
        if isinstance(right, list):
            good = len(found) == len(right)
            for k, (f, r) in enumerate(zip(found, right)):
                self.expect(f"{what}[{k}]", f, r, tolerance)
            if not good:
                self.faults.append(f"{what}: {len(found)} entries, {len(right)} are right")
        elif right is None or isinstance(right, str) or found is None:
            if found != right:
                self.faults.append(f"{what}: {found!r}, right is {right!r}")
        elif not abs(found - right) <= tolerance * max(1, abs(right)):
            self.faults.append(f"{what}: {found!r}, right is {right!r}")

    def end(self, checked):
        print("\n".join(self.faults) or f"{checked}: as expected")
        sys.exit(bool(self.faults))


def mean(x):
    return math.fsum(x) / len(x)


def sd(x):
    m = mean(x)
    return math.sqrt(math.fsum((v - m) ** 2 for v in x) / (len(x) - 1))


def rms(x):
    return math.sqrt(math.fsum(v * v for v in x) / len(x))


def turn(a, b):
    """a - b on the circle, in (-180, 180]."""
    d = (a - b + 180) % 360 - 180
    return 180.0 if d == -180 else d


def line(x, y):
    mx, my = mean(x), mean(y)
    sxx = math.fsum((v - mx) ** 2 for v in x)
    slope = math.fsum((v - mx) * (w - my) for v, w in zip(x, y)) / sxx
    return slope, my - slope * mx


def through_origin(x, y):
    return math.fsum(v * w for v, w in zip(x, y)) / math.fsum(v * v for v in x)


def correlation(x, y):
    mx, my = mean(x), mean(y)
    return math.fsum((v - mx) * (w - my) for v, w in zip(x, y)) / math.sqrt(
        math.fsum((v - mx) ** 2 for v in x) * math.fsum((w - my) ** 2 for w in y))


def by_bin(keys, values, width, lowest, highest, at_least, f):
    """f of the values in each bin, centred on multiples of width, lower edge in, upper out."""
    found = []
    for k in range(round((highest - lowest) / width) + 1):
        centre = lowest + k * width
        group = [v for key, v in zip(keys, values) if centre - width / 2 <= key < centre + width / 2]
        found.append(f(group) if len(group) >= at_least else None)
    return found


def scripts_folder():
    return pathlib.Path(__file__).parent
