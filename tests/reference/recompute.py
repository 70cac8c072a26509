#!/usr/bin/env python3
"""The auditor's second opinion: computes the acceptance tables of a dossier again.

    recompute.py DOSSIER        (tests/program/cases/recompute.t, tests/identity/run.sh)

Reads data/intervals.csv and data/ledger.csv and nothing of ours, works in plain Python (math.fsum, the
formulas of docs/reference/methods.md written down anew), and compares with tables/*.csv and result.json
to 1e-12: every value, table and requirement of the four checks; every code in the ledger, from the
thresholds among the parameters; the states, which must sum to the grid; reasons.csv; samples.csv; the
outcomes; the digests. Prints how many numbers were compared, exit 1 where one differs.
"""
import csv
import hashlib
import json
import math
import re
import sys
from datetime import datetime, timezone
from pathlib import Path

TOLERANCE = 1e-12
compared = 0


def fail(*what):
    sys.exit("recompute: " + " ".join(str(w) for w in what))


def same(what, ours, theirs, scale=1.0):
    """Equal to 1e-12: relative, or of `scale` for what is a small difference of larger numbers."""
    global compared
    compared += 1
    if ours is None or theirs is None or isinstance(ours, (str, bool)):
        good = ours == theirs
    else:
        good = abs(ours - theirs) <= TOLERANCE * max(abs(ours), abs(theirs), scale * (scale != 1.0))
    if not good:
        fail(what, "is", theirs, "in the dossier, recomputed", ours)


def rows(path):
    with open(path, newline="", encoding="utf-8") as f:
        return list(csv.DictReader(f))


def number(text):
    return float(text) if text != "" else None


# --- formulas -------------------------------------------------------------------------------------

def mean(x):
    return math.fsum(x) / len(x)


def deviation(x):
    m = mean(x)
    return math.sqrt(math.fsum((a - m) ** 2 for a in x) / (len(x) - 1))


def square(x):
    return math.fsum(a * a for a in x)


def product(x, y):
    return math.fsum(a * b for a, b in zip(x, y))


def centred(x):
    m = mean(x)
    return [a - m for a in x]


def pearson(x, y):
    x, y = centred(x), centred(y)
    return product(x, y) / math.sqrt(square(x) * square(y))


def coefficients(y, fitted):
    rest = square([a - b for a, b in zip(y, fitted)])
    return 1 - rest / square(y), 1 - rest / square(centred(y)), pearson(y, fitted) ** 2, rest


def forced(x, y):
    slope = product(x, y) / square(x)
    uncentred, about_mean, r2, rest = coefficients(y, [slope * a for a in x])
    return {"slope": slope, "slope_u": math.sqrt(rest / (len(x) - 1) / square(x)),
            "uncentred": uncentred, "centred": about_mean, "pearson": r2}


def free(x, y):
    sxx = square(centred(x))
    slope = product(centred(x), centred(y)) / sxx
    intercept = mean(y) - slope * mean(x)
    *_, r2, rest = coefficients(y, [intercept + slope * a for a in x])
    s2 = rest / (len(x) - 2)
    return {"slope": slope, "intercept": intercept, "pearson": r2, "slope_u": math.sqrt(s2 / sxx),
            "intercept_u": math.sqrt(s2 * (1 / len(x) + mean(x) ** 2 / sxx))}


def least_squares(y, a, b):
    """y = p a + q b + an intercept; with the standard uncertainty of q."""
    y, a, b = centred(y), centred(a), centred(b)
    aa, bb, ab = square(a), square(b), product(a, b)
    det = aa * bb - ab * ab
    p = (bb * product(a, y) - ab * product(b, y)) / det
    q = (aa * product(b, y) - ab * product(a, y)) / det
    rest = [c - p * d - q * e for c, d, e in zip(y, a, b)]
    return p, q, math.sqrt(square(rest) / (len(y) - 3) * aa / det), rest


def autocorrelation(at, x):
    """At lag 1; `at` are the indices on the grid, only true neighbours count."""
    c = dict(zip(at, centred(x)))
    return math.fsum(c[i] * c[i + 1] for i in c if i + 1 in c) / square(c.values())


def effective(at, x):
    r = autocorrelation(at, x)
    return len(x) * (1 - r) / (1 + r) if r > 0 else len(x)


def circular(x):
    c, s = mean([math.cos(math.radians(a)) for a in x]), mean([math.sin(math.radians(a)) for a in x])
    m = math.degrees(math.atan2(s, c))
    short = mean([2 * math.sin(math.radians((a - m) / 2)) ** 2 for a in x])  # 1 - R, without cancelling
    return m, math.degrees(math.sqrt(-2 * math.log1p(-short)))


# --- the dossier ----------------------------------------------------------------------------------

class Dossier:
    def __init__(self, folder):
        self.data = Path(folder) / "data"
        self.record = json.loads((self.data / "result.json").read_text(encoding="utf-8"))
        self.grid = rows(self.data / "intervals.csv")
        self.ledger = rows(self.data / "ledger.csv")
        self.reasons = rows(self.data / "reasons.csv")
        self.seconds = self.record["campaign"]["grid"]["interval_s"]

    def channel(self, role, quantity, statistic="mean"):
        """The column of a role's only or primary channel of a quantity; None without one."""
        found = []
        for s in self.record["campaign"]["sources"]:
            added = re.findall(r"^add (\w+)(?: \((\w+)\))? \[", "\n".join(s.get("prepare", [])), re.M)
            channels = s["channels"] + [{"name": n, "quantity": q or n} for n, q in added]
            found += [(s, c) for c in channels if s["role"] == role and c["quantity"] == quantity]
        if len(found) > 1:
            found = [(s, c) for s, c in found if c.get("use") == "primary"]
        if not found:
            return None
        name = f"{found[0][0]['name']}.{found[0][1]['name']}.{statistic}"
        for key in self.grid[0]:
            if key == name or key.startswith(name + " ["):
                return [number(row[key]) for row in self.grid]
        return None

    def states(self, check):
        return [row[check] for row in self.ledger]

    def kept(self, check, *states):
        """Indices of the intervals that the account did not exclude."""
        return [i for i, s in enumerate(self.states(check)) if not s.startswith("x")]

    def table(self, check, name):
        return rows(self.data / "tables" / f"{check['id'].replace(':', '.')}.{name.replace(' ', '_')}.csv")


def when(text):
    return datetime.fromisoformat(text.replace("Z", "+00:00")).astimezone(timezone.utc)


def parameters(check):
    return {p["name"]: p["value"] for p in check["parameters"]}


def values(d, check, ours, scale=1.0):
    """Compares { name: (value, u or None) } with the record's values and with values.csv."""
    theirs = {v["name"]: v for v in check["values"]}
    if set(theirs) != set(ours):
        fail(check["id"], "values differ:", sorted(set(theirs) ^ set(ours)))
    for row in d.table(check, "values"):
        v = theirs[row["name"]]
        same("values.csv " + row["name"], v["value"], number(row["value"]))
        same("values.csv u of " + row["name"], v.get("u"), number(row["u"]))
    for name, (value, u) in ours.items():
        place = f"{check['id']}: {name}"
        same(place, value, theirs[name]["value"], scale)
        same(place + ", u", u, theirs[name].get("u"))


def table(d, check, name, ours, scale=1.0):
    """Compares rows (lists) with the record's table and with its CSV."""
    theirs = next(t for t in check["tables"] if t["name"] == name)["rows"]
    read = d.table(check, name)
    if not len(ours) == len(theirs) == len(read):
        fail(check["id"], name, "has", len(theirs), "rows, recomputed", len(ours))
    for i, (mine, record, text) in enumerate(zip(ours, theirs, read)):
        for j, (a, b, c) in enumerate(zip(mine, record, text.values())):
            place = f"{check['id']}: {name}, row {i + 1}, column {j + 1}"
            same(place, a, b, scale)
            same(place + " of the CSV", b, c if isinstance(b, str) else number(c))


def requirements(check, ours, scale=1.0):
    for r in check["requirements"]:
        if r["name"] not in ours:
            fail(check["id"], "requires", r["name"], "which was not recomputed")
        value, u = ours[r["name"]]
        same(f"{check['id']} requires {r['name']}", value, r["value"], scale)
        same(f"{check['id']} requires {r['name']}, u", u, r.get("u"))
        limits = r.get("limits")
        if limits is None:
            outcome = "for information"
        elif check["status"] == "inconclusive":
            outcome = "inconclusive"
        else:
            good = limits.get("lower", -math.inf) <= value <= limits.get("upper", math.inf)
            outcome = "pass" if good else "fail"
        same(f"{check['id']} outcome of {r['name']}", outcome, r["outcome"])


# --- the checks -----------------------------------------------------------------------------------

def speed(d, check):
    p = parameters(check)
    at = d.kept(check["id"])
    all_v, all_s = d.channel("reference", "wind_speed"), d.channel("unit", "wind_speed")
    # The double next to the decimal, as a logged value on the edge is.
    edges = [round(p["lowest"] - p["width"] / 2 + i * p["width"], 9)
             for i in range(round((p["highest"] - p["lowest"]) / p["width"]) + 2)]
    where, v, s, by_bin, means = {}, [], [], [], ([], [])
    for i in at:
        inside = [b for b in range(len(edges) - 1) if edges[b] <= all_v[i] < edges[b + 1]]
        where.setdefault(inside[0] if inside else None, []).append(i)
    for b in range(len(edges) - 1):
        members = where.get(b, [])
        x, y = [all_v[i] for i in members], [all_s[i] for i in members]
        row = [round(edges[b] + p["width"] / 2, 9), len(x), len({d.grid[i]["time"][:10] for i in members})]
        v, s = v + x, s + y
        if len(x) >= p["at_least"]:
            e = [c - a for a, c in zip(x, y)]
            means[0].append(mean(x))
            means[1].append(mean(y))
            spread = deviation(e) if len(e) > 1 else None
            row += [mean(x), mean(y), mean(e), 100 * math.fsum(e) / math.fsum(x), spread,
                    spread / math.sqrt(len(e)) if spread is not None else None, "yes"]
        else:
            row += [None] * 6 + ["no"]
        by_bin.append(row)
        for i in members:
            state = "used" if len(x) >= p["at_least"] else "records only"
            same("state of " + d.grid[i]["time"], state, d.ledger[i][check["id"]])
    for i in where.get(None, []):
        same("state of " + d.grid[i]["time"], "outside", d.ledger[i][check["id"]])
    table(d, check, "by bin", by_bin, scale=10)

    found, results = {"records compared": (len(at) - len(where.get(None, [])), None)}, []
    for name, (x, y) in {"records": (v, s), "bin means": means}.items():
        f, g = forced(x, y), free(x, y)
        results.append(f)
        found |= {f"forced slope, {name}": (f["slope"], f["slope_u"]),
                  f"r2 uncentred, {name}": (f["uncentred"], None),
                  f"r2 centred, {name}": (f["centred"], None),
                  f"r2 Pearson, {name}": (f["pearson"], None),
                  f"free slope, {name}": (g["slope"], g["slope_u"]),
                  f"free intercept, {name}": (g["intercept"], g["intercept_u"])}
    values(d, check, found, scale=10)

    def part(low, high):
        inside = [i for i in at if low <= all_v[i] < high]
        return forced([all_v[i] for i in inside], [all_s[i] for i in inside])["slope"]

    f, g = results
    u_records, u_means = f["slope_u"], g["slope_u"]
    if any(t["name"] == "uncertainty by bin" for t in check["tables"]):
        u_records, u_means = uncertainty(d, check, p, by_bin)
    compared_at = [i for b, members in where.items() if b is not None for i in members]
    beyond = sum(abs(all_s[i] - all_v[i]) > p["deviation"] for i in compared_at)
    requirements(check, {
        "slope_records": (f["slope"], u_records), "slope_bin_means": (g["slope"], u_means),
        "r2_centred_records": (f["centred"], None), "r2_pearson_records": (f["pearson"], None),
        "correlation_records": (pearson(v, s), None),
        "share_beyond_deviation": (100 * beyond / len(compared_at), None),
        "slope_difference_4_8_and_8_12": (abs(part(4, 8) - part(8, 12)), None)}, scale=10)


def uncertainty(d, check, p, by_bin):
    """The budget of IEC 61400-12-1 Annex L.4 by bin (recalled), and what it makes of both slopes.
    The certificate's part is taken from the table: it stands in the campaign, not in the data."""
    stated = {row[0]: row[4] for row in
              next(t for t in check["tables"] if t["name"] == "components of the uncertainty")["rows"]}
    table_of = next(t for t in check["tables"] if t["name"] == "uncertainty by bin")
    names = [c["name"] for c in table_of["columns"]][1:-2]
    rows_of = []
    for mine, theirs in zip(by_bin, table_of["rows"]):
        if mine[-1] == "no":
            rows_of.append([mine[0]] + [None] * (len(names) + 2))
            continue
        x, part = mine[3], {}
        for name, u in zip(names, theirs[1:-2]):
            if name.endswith(" class"):
                number = float(re.search(r"class ([0-9.]+)", stated[name]).group(1))
                part[name] = (0.05 + 0.005 * x) * number / math.sqrt(3)
            elif name.endswith(" calibration"):
                part[name] = u
            elif name == "statistical":
                part[name] = mine[8]
            elif name == "mean deviation":
                part[name] = abs(mine[5])
            else:
                own = {"mounting of the unit": p["mounting"], "flow": p["flow"],
                       "separation": p["separation"]}
                share = own.get(name) or float(re.search(r"([0-9.]+) %", stated[name]).group(1))
                part[name] = share / 100 * x
        combined = math.sqrt(math.fsum(u * u for u in part.values()))
        rows_of.append([mine[0], *part.values(), combined, 2 * combined])
    table(d, check, "uncertainty by bin", rows_of, scale=10)

    def of_slope(weigh):
        used = [(m, r) for m, r in zip(by_bin, rows_of) if m[-1] == "yes"]
        weights = [weigh(m) for m, _ in used]
        squares = []
        for k, name in enumerate(names):
            if name == "mean deviation":
                continue
            parts = [w * r[k + 1] / m[3] / math.fsum(weights) for w, (m, r) in zip(weights, used)]
            squares.append(math.fsum(q * q for q in parts) if name == "statistical"
                           else math.fsum(parts) ** 2)
        return math.sqrt(math.fsum(squares))

    return of_slope(lambda m: m[1] * m[3] ** 2), of_slope(lambda m: m[3] ** 2)


def direction(d, check):
    p = parameters(check)
    at = d.kept(check["id"])
    vane, unit = d.channel("reference", "wind_from_direction"), d.channel("unit", "wind_from_direction")
    x = [vane[i] for i in at]
    e = [(unit[i] - vane[i] + 180) % 360 - 180 for i in at]
    offset, spread = circular(e)
    u = spread / math.sqrt(effective(at, e))
    line = free(x, [a + b for a, b in zip(x, e)])
    values(d, check, {"records compared": (len(x), None), "offset": (offset, u),
                      "circular standard deviation": (spread, None),
                      "free slope": (line["slope"], line["slope_u"]),
                      "free intercept": (line["intercept"], line["intercept_u"]),
                      "r2 Pearson": (line["pearson"], None)}, scale=360)
    by_sector = []
    for b in range(round(360 / p["sector"])):
        low = b * p["sector"]
        inside = [c for a, c in zip(x, e) if low <= a < low + p["sector"]]
        row = [low + p["sector"] / 2, len(inside)]
        row += [mean(inside), deviation(inside), deviation(inside) / math.sqrt(len(inside))] \
            if len(inside) >= 3 else [None] * 3
        by_sector.append(row)
    table(d, check, "by sector", by_sector, scale=360)
    requirements(check, {"offset": (abs(offset), u), "slope": (line["slope"], line["slope_u"]),
                         "r2_pearson": (line["pearson"], None)}, scale=360)


def availability(d, check):
    p = parameters(check)
    count, ratio = d.channel("unit", "wind_speed", "count"), d.channel("unit", "wind_speed", "availability")
    ref = d.channel("reference", "wind_speed")
    on = [c is not None and c > 0 for c in count]
    valid = [a is not None and 100 * a >= p["valid"] for a in ratio]
    there = [v is not None for v in ref]
    both = [a and b for a, b in zip(valid, there)]

    def share(part, whole):
        return 100 * sum(part) / sum(whole) if sum(whole) else None

    every = [True] * len(on)
    values(d, check, {
        "system availability, of the calendar": (share(on, every), None),
        "valid data, of the calendar": (share(valid, every), None),
        "valid data, of the intervals with the unit on": (share(valid, on), None),
        "valid data, of the intervals with a valid reference": (share(both, there), None)})
    by_day = []
    for day in sorted({row["time"][:10] for row in d.grid}):
        of_day = [i for i, row in enumerate(d.grid) if row["time"][:10] == day]

        def pick(mask):
            return [mask[i] for i in of_day]

        by_day.append([day, len(of_day), share(pick(on), pick(every)), share(pick(valid), pick(every)),
                       share(pick(both), pick(there))])
    table(d, check, "by day", by_day)
    requirements(check, {"system_availability": (share(on, every), 0),
                         "valid_availability": (share(valid, every), 0)})


def clock(d, check):
    p = parameters(check)
    v, s = d.channel("reference", "wind_speed"), d.channel("unit", "wind_speed")

    def at_lag(k):
        pairs = [(v[i], s[i + k]) for i in range(max(0, -k), min(len(v), len(v) - k))
                 if v[i] is not None and s[i + k] is not None]
        return pearson(*zip(*pairs))

    within = min(p["within"], 6)  # farther ones would be slow here, and fail the comparison
    near = [at_lag(k) for k in range(-within, within + 1)]
    lag = near.index(max(near)) - within
    at = d.kept(check["id"])

    def fine(part):
        x, y = [v[i] for i in part], [s[i + lag] for i in part]
        half, far = [(v[i + 1] - v[i - 1]) * 0.5 for i in part], [v[i + 2] - v[i - 2] for i in part]
        a, b, _, _ = least_squares(half, x, far)
        gradient = [a * e + b * f for e, f in zip(x, far)]
        gain, slope, u, rest = least_squares(y, x, gradient)
        r = max(0, autocorrelation(part, gradient) * autocorrelation(part, rest))
        return (d.seconds * slope / gain - lag * d.seconds,
                d.seconds * u / abs(gain) * math.sqrt((1 + r) / (1 - r)))

    offset, u = fine(at)
    found = {"correlation at the best lag": (max(near), None), "whole lag": (lag, None),
             "clock offset": (offset, u), "records used": (len(at), None)}
    by_stretch, length = [], p["days"] * 86400 // d.seconds
    for first in range(0, len(v), length):
        part = [i for i in at if first <= i < first + length]
        row = [(first + min(first + length, len(v))) / 2 * d.seconds / 86400, None, None]
        if len(part) >= p["records"]:
            row[1:] = fine(part)
        by_stretch.append(row)
    known = [row for row in by_stretch if row[1] is not None]
    if len(known) >= 3:
        drift = free([row[0] for row in known], [row[1] for row in known])
        found["clock drift"] = (drift["slope"], drift["slope_u"])
    # A few seconds are what remains of correlated columns of 10 m/s: 1e-12 of an interval.
    values(d, check, found, scale=d.seconds)
    table(d, check, "by stretch", by_stretch, scale=d.seconds)
    requirements(check, {"clock_offset": (abs(offset), u)}, scale=d.seconds)


RECOMPUTED = {"wind_speed_comparison": speed, "wind_direction_comparison": direction,
              "availability": availability, "clock": clock}


# --- the ledger -----------------------------------------------------------------------------------

def run_lengths(x):
    """True where a value belongs to six or more equal ones in succession; None where missing."""
    hit = [None if a is None else False for a in x]
    first = 0
    for i in range(1, len(x) + 1):
        if i == len(x) or x[i] is None or x[i] != x[first]:
            if i - first >= 6 and x[first] is not None:
                hit[first:i] = [True] * (i - first)
            first = i
    return hit


def kleene_and(a, b):
    return False if a is False or b is False else None if a is None or b is None else True


def test_of(d, check, reason):
    """The mask of a reason, from the intervals and the parameters; None where it is not known here."""
    p = parameters(check)
    if check["name"] not in RECOMPUTED:
        return None
    quantity = "wind_from_direction" if "direction" in check["name"] else "wind_speed"

    def of(column, test):
        return [None if a is None else test(a) for a in column]

    if reason in ("reference missing", "unit missing"):
        return [a is None for a in d.channel(reason.split()[0], quantity)]
    if reason.startswith("unit availability below"):
        ratio = d.channel("unit", quantity, "availability")
        ratio = ratio or d.channel("unit", "wind_speed", "availability")
        return of(ratio, lambda a: 100 * a < p["availability"])
    if reason.startswith("reference below"):
        return of(d.channel("reference", "wind_speed"), lambda a: a < p["lowest"])
    if reason == "icing possible":
        cold = of(d.channel("reference", "air_temperature"), lambda a: a < p["icing_below"])
        wet = of(d.channel("reference", "relative_humidity"), lambda a: a > p["icing_above"])
        return [kleene_and(a, b) for a, b in zip(cold, wet)]
    vane = d.channel("reference", "wind_from_direction")
    if reason == "vane stuck":
        return run_lengths(vane)
    if reason == "disturbed sector":
        return of(vane, lambda a: 52 <= a < 98)  # as agreed for the Ravnmoor mast
    return None


def ledger(d, check, account):
    name = check["id"] + ("." + account["name"] if account["name"] != "intervals" else "")
    states = d.states(name)
    tally = {"used": 0, "records only": 0, "outside": 0}
    excluded = 0
    for s in states:
        if s in tally:
            tally[s] += 1
        elif s.startswith("x"):
            excluded += 1
        else:
            fail(name, "has a state", s)
    for key, ours in zip(("used", "records_only", "outside", "excluded", "grid"),
                         (*tally.values(), excluded, len(states))):
        same(f"{name}: {key}", ours, account[key])
    codes = [set() if s in tally else set(s.split("+")) for s in states]
    listed = {r["code"]: r for r in d.reasons if r["account"] == name}
    gone = set()
    for e in check["exclusions"]:
        if e["account"] != account["name"]:
            continue
        true = [i for i, c in enumerate(codes) if e["code"] in c]
        judged = [i for i, c in enumerate(codes) if e["code"] + "?" in c]
        hit = set(true) | set(judged)
        gone |= hit
        mask = test_of(d, check, e["reason"])
        unknown = len(judged)
        if mask:
            same(f"{name}: {e['reason']}", str([i for i, m in enumerate(mask) if m]), str(true))
            unknown = mask.count(None)
            if not e.get("keeps_unknown"):
                same(f"{name}: {e['reason']}, unknown",
                     str([i for i, m in enumerate(mask) if m is None]), str(judged))
        ours = {"intervals": len(true), "only": sum(codes[i] in ({e["code"]}, {e["code"] + "?"}) for i in hit),
                "unknown": unknown if mask or not e.get("keeps_unknown") else e["unknown"],
                "left": len(states) - len(gone)}
        for key, value in ours.items():
            same(f"{name}: {e['reason']}, {key}", value, e[key])
            same(f"reasons.csv {name}: {e['reason']}, {key}", value, int(listed[e["code"]][key]))


def samples(d):
    """Every sample is counted, dropped, or missing in its file; totals are those of the record."""
    read = rows(d.data / "samples.csv")
    for s in d.record["samples"]:
        where = ",".join(f"{k}={s[k]}" for k in ("beam", "range") if k in s)
        prefix = s["source"] + ("@" + where if where else "") + "."
        for key in ("expected", "read"):
            if key in s:
                same(prefix + key, sum(int(r[prefix + key] or 0) for r in read), s[key])
        for drop in s["dropped"]:
            column = prefix + "dropped: " + drop["reason"]
            same(column, sum(int(r[column]) for r in read), drop["samples"])
        source = next(c for c in d.record["campaign"]["sources"] if c["name"] == s["source"])
        if not source["raw"]:
            continue
        for channel in source["channels"]:
            counts = f"{s['source']}.{channel['name']}{'@' + where if where else ''}.count"
            if counts not in d.grid[0]:
                continue
            of = [x["reason"] for x in s["dropped"]
                  if x["reason"].startswith(("keep_if", "equal row")) or x["reason"].endswith(": " + channel["name"])]
            for interval, r in zip(d.grid, read):
                dropped = sum(int(r[prefix + "dropped: " + x]) for x in of)
                same(f"samples of {channel['name']} at {r['time']}", int(r[prefix + "read"] or 0),
                     int(interval[counts] or 0) + dropped)


def digests(folder, d):
    listed = set()
    for line in (folder / "manifest-sha256.txt").read_text(encoding="utf-8").splitlines():
        digest, path = line.split("  ", 1)
        listed.add(path)
        same("digest of " + path, hashlib.sha256((folder / path).read_bytes()).hexdigest(), digest)
    there = {str(p.relative_to(folder)) for p in (folder / "data").rglob("*") if p.is_file()}
    same("files of the manifest", str(sorted(there)), str(sorted(listed)))
    for s in d.record["scripts"]:
        same("digest of " + s["path"],
             hashlib.sha256((d.data / s["path"]).read_bytes()).hexdigest(), s["sha256"])
    own = hashlib.sha256((d.data / "result.json").read_bytes()).hexdigest()
    if own not in (d.data / "report.html").read_text(encoding="utf-8"):
        fail("the report does not print the digest of result.json")
    for mine, theirs in zip(rows(d.data / "inputs.csv"), d.record["inputs"]):
        for key in ("path", "source", "sha256", "first", "last"):
            same("inputs.csv " + key, mine[key], theirs[key])
        for key in ("bytes", "rows"):
            same("inputs.csv " + key, int(mine[key]), theirs[key])


def main():
    folder = Path(sys.argv[1])
    d = Dossier(folder)
    grid = d.record["campaign"]["grid"]
    same("intervals", grid["intervals"], len(d.grid))
    for i, (a, b) in enumerate(zip(d.grid, d.ledger)):
        same("time in the ledger", a["time"], b["time"])
        same("time", when(grid["from"]).timestamp() + i * d.seconds, when(a["time"]).timestamp())
    digests(folder, d)
    samples(d)
    order = ["pass", "conditional pass", "inconclusive", "conditional fail", "fail", "error"]
    contract = []
    for check in d.record["checks"]:
        for account in check["accounts"]:
            ledger(d, check, account)
        if check["name"] in RECOMPUTED:
            RECOMPUTED[check["name"]](d, check)
        else:
            print("not recomputed here, only its states and counts:", check["id"])
        contract += [r["outcome"] for r in check["requirements"] if r.get("use") == "contract"]
    same("outcome", max(contract, key=order.index) if contract else "no decision asked", d.record["outcome"])
    print(f"{d.record['outcome']}: {compared} numbers and words compared, all the same to {TOLERANCE:g}")


main()
