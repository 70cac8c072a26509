#!/usr/bin/python3
"""Makes the seed inputs of the fuzz targets from what the tests have: seeds.py ROOT.

Inputs that found a fault (corpus/TARGET/found-*) are kept by hand and not touched.
"""
import json
import pathlib
import struct
import sys

root = pathlib.Path(sys.argv[1])
corpus = root / "tests/fuzz/corpus"
tests = root / "tests"


def wire(v):
    """The wire form of value.h; bytes are strings that need not be UTF-8."""
    if v is None:
        return b"0"
    if v is True or v is False:
        return b"t" if v else b"f"
    if isinstance(v, (int, float)):
        return b"n" + struct.pack("<d", v)
    if isinstance(v, str):
        v = v.encode()
    if isinstance(v, bytes):
        return b"s" + struct.pack("<I", len(v)) + v
    if isinstance(v, list):
        return b"l" + struct.pack("<I", len(v)) + b"".join(map(wire, v))
    out = b"m" + struct.pack("<I", len(v))
    for key, item in v.items():
        out += struct.pack("<I", len(key.encode())) + key.encode() + wire(item)
    return out


def seed(target, name, data):
    folder = corpus / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(data if isinstance(data, bytes) else data.encode())


def plain(target, name, value, both=True):
    """A plain value as JSON (easier to mutate) and in the wire form."""
    seed(target, name + ".json", json.dumps(value, separators=(",", ":"), ensure_ascii=False))
    if both:
        seed(target, name + ".wire", wire(value))


everything = {"a": [None, True, False, 0, -1.5, 1e300, 5e-324], "text": "Zürich \U0001f600",
              "": {}, "list": [[], [[1]], {"k": [{"k": "v"}]}]}
seed("value", "everything", wire(everything))
seed("value", "bytes", wire([b"\xff\x00\xfe", b"", "x" * 40]))
for depth in (63, 64, 65):
    v = None
    for _ in range(depth - 1):
        v = [v]
    seed("value", f"depth-{depth}", wire(v))
    seed("json", f"depth-{depth}", "[" * depth + "]" * depth)


def frame(v):
    return struct.pack("<I", len(wire(v))) + wire(v)


seed("frames", "talk", frame({"ask": "practice.sectors"}) + frame({"reply": everything}))
seed("frames", "long", struct.pack("<I", 1 << 28) + b"m")
seed("frames", "none", struct.pack("<I", 0))

plain("json", "everything", everything, both=False)
seed("json", "texts", '{"\\u00e9\\ud83d\\ude00\\t\\"\\\\\\/": "\\u0001\\u007f\\u2028", "n": [1E5, -0, 0.1, 1e-320]}')
seed("json", "refused", '{"a": 1, "a": 2}')
seed("json", "nul", '["\\u0000"]')
seed("json", "range", "[1e999]")

for path in sorted((tests / "hostile/csv").iterdir()):
    if path.stat().st_size < 1000 and path.name.isascii() and " " not in path.name:
        seed("rows", path.stem, b"\0" + path.read_bytes())
units = "time;v;d\n;m/s;degree\n01.03.2026 00:10;5,5;270\n"
seed("rows", "layout-1", b"\1" + units.encode())
seed("rows", "layout-2", b"\2" + b"logger 7\ntime\tv\n\tm/s\n\n2026-03-02T00:10:00Z\t\"5\"\n")
seed("rows", "layout-3", b"\3" + b"serial,NL-0417\r\n\r\ntime,v\r\n1,\"a\"\"b\r\nc\"\r\n2,x\r\n")
seed("rows", "layout-4", b"\4" + "time,ort\n1,Zürich\n".encode("latin-1"))
seed("rows", "layout-6", b"\6" + b"# a\n# b\ntime,v\n1,2\n")

seed("table", "spots", "spot,speed [m/s],time\na,1.5,2026-03-02T00:00:00Z\nb,NaN,\n,-2e3,2026-03-02T00:00:01+01:00\n")
seed("table", "times", "t\n2026-03-02 00:00\n2026-03-02 00:10:00.25\nNA\n")
seed("table", "numbers", "a,b\n 1 ,1e400\n,2\n")

raw = "time,v,d,flags\n2026-03-02T00:01:00Z,5.25,359.5,0\n2026-03-02T00:02:00Z,-999,0.5,9\n"
seed("source", "raw", b"\0\0" + (raw + "2026-03-02T00:12:00Z,,10,8\n2026-03-02T00:59:59Z,6,20,0\n").encode())
seed("source", "raw-two", b"\0\1" + raw.encode() + raw.replace("T00:", "T00:3").encode())
average = "time;v mean;v sd;v min;v max;n;d\n;m/s;m/s;m/s;m/s;1;degree\n"
seed("source", "average", b"\1\0" + (average + "02.03.2026 01:00;8,5;0,5;7;10;600;270\n02.03.2026 01:20;;;;;;\n").encode())
long = "a header\ntime,beam,range_m,speed,pitch\n"
for t in range(0, 70, 5):
    for beam in (1, 2):
        for r in (140.2, 240):
            long += f"{1772409600 + t}.25,{beam},{r},{5 + t / 10},{0.1}\n"
seed("source", "long", b"\2\0" + long.encode())
seed("source", "torn", b"\2\2" + long.encode()[:-8])
for t in range(0, 70, 5):
    long = long.replace(f"{1772409600 + t}.25", f"2026-03-02T00:{t // 60:02}:{t % 60:02}Z")
seed("source", "long-stamps", b"\3\0" + long.replace("a header\n", "").encode())
for quotes in (1, 2, 7):
    seed("source", f"quoted-raw-{quotes}", bytes((0, 3 * quotes)) + raw.encode())
    seed("source", f"quoted-average-{quotes}", bytes((1, 3 * quotes)) + (average + "02.03.2026 01:00;8,5;0,5;7;10;600;270\n").encode())
    seed("source", f"quoted-crlf-{quotes}", bytes((0, 3 * quotes)) + raw.replace("\n", "\r\n").encode())
    seed("source", f"quoted-long-{quotes}", bytes((3, 3 * quotes + 1)) + long.replace("a header\n", "").encode())
seed("source", "long-twice", b"\3\1" + (long.replace("a header\n", "") + long[-40:]).encode())

stamps = ["2026-03-02T00:10:00Z", "2026-03-02 24:00", "2026-03-02T00:00:00.123456789+05:30",
          "2026-03-29T02:30:00", "1772409600.25", "29.03.2026 02:30", "2-Mar-26 12:05:09.5 pm",
          "2026060235959", "2026/03/02 00:10:00-0330", "1678-01-01T00:00:00Z", "2261-12-31T23:59:59Z"]
for rule in range(9):
    for i, stamp in enumerate(stamps):
        if i == rule or rule == 0:
            seed("time", f"rule-{rule}-{i}", bytes([rule]) + stamp.encode())
for i, text in enumerate(["10 min", "-62.5 s", "0.000000001 s", "UTC-03:30", "9223372036854775807 ns",
                          "%Y-%m-%dT%H:%M:%S.%f%z\n2026-03-02T00:00:00.5+01:00"]):
    seed("time", f"other-{i}", b"\0" + text.encode())

for i, text in enumerate(["0", "-12.345", "7.", ".5e-3", "1e400", "1e-400", "9007199254740993", "4.9406564584124654e-324",
                          "2.4703282292062327e-324", "1.7976931348623158e308", "000000000000000000001", "999999999999999999.",
                          "0." + "0" * 300 + "1e300", "1" * 400 + "e-399", "nan", "1_0", "0x10", "1e", "+-1"]):
    seed("number", f"{i:02}", text)

for i, text in enumerate(["m/s", "m s-1\nknot", "degree\nradian", "degC\ndegF", "W/(m2 K)", "kg.m^-3", "%", "m**2/s/s",
                          "1e3 m", "km h-1", "dB", "hPa", "m99", "((m)", "10 m"]):
    seed("unit", f"{i:02}", text)

campaign = json.loads((tests / "data/campaign.json").read_text())
plain("campaign", "example", campaign)
least = {"lidar": {"serial": "NL-0417"}, "roles": {"unit": ["mast"]}, "checks": [["clock"]],
         "period": {"from": "2026-03-02T00:00:00Z", "to": "2026-03-03T00:00:00Z", "interval": "10 min"},
         "sources": {"mast": {"files": ["*.csv"], "time": {"column": "t", "zone": "UTC", "stamp": "end"},
                              "channels": {"wind_speed": {"column": "v", "unit": "m/s"}}}}}
plain("campaign", "least", least)

plain("criteria", "house", {
    "title": "House rules", "source": "house manual", "evidence": "invented", "rule": "non-binary", "k": 2,
    "limits": [{"check": "speed", "require": "slope", "lower": 0.98, "upper": 1.02, "unit": "1"},
               {"check": "speed", "require": "offset", "upper": 0.1, "unit": "m/s", "rule": "simple", "source": "a table",
                "evidence": "recalled"},
               {"check": "speed", "require": "slope", "lower": 0.97, "unit": "1", "run": "low", "parameters": {"lowest": 2}}],
    "confirmed": {"speed.offset": {"clause": "4.2", "edition": "2026", "by": "ab"}}})


def node(op, **more):
    return {"op": op, **more}


channel = [node("channel", name=n) for n in ("los_speed", "t", "dir", "status", "state")]
plain("formula", "many", {
    "nodes": channel + [
        node("median", a=1), node("sub", a=1, b=6), node("number", value=2, unit="m/s"), node("above", a=7, b=8),
        node("has", a=4, name="window wet"), node("or", a=9, b=10), node("grow", a=11, n=1), node("in_sector", a=3, **{"from": 350, "to": 20}),
        node("and", a=12, b=13), node("to", a=2, unit="degF"), node("lag", a=1, n=-1), node("unchanged", a=1, n=2),
        node("is", a=5, name="ok"), node("not", a=18), node("where", a=1, b=19), node("quantile", a=1, p=0.25),
        node("circular_mean", a=3), node("difference", a=3, b=22), node("sin", a=3), node("mul", a=1, b=24), node("number", value=2),
        node("pow", a=1, b=26), node("sqrt", a=27), node("missing", a=28)],
    "adds": [{"name": "w", "node": 25}, {"name": "f", "node": 15}, {"name": "x", "node": 23, "quantity": "wind_from_direction"},
             {"name": "y", "node": 20}, {"name": "z", "node": 16}, {"name": "q", "node": 21, "unit": "knot"}],
    "drops": [{"reason": "wet", "mask": 14, "channels": ["los_speed", "w"]}, {"reason": "stuck", "mask": 17, "channels": ["dir"]},
              {"reason": "gone", "mask": 29, "channels": ["t"]}]})
plain("formula", "exp", {"nodes": [channel[1], node("number", value=1, unit="degC"), node("div", a=1, b=2), node("number", value=300),
                                   node("mul", a=3, b=4), node("exp", a=5), node("log", a=6), node("div", a=6, b=7)],
                         "adds": [{"name": "a", "node": 8}], "drops": []})

figure = {"name": "scatter", "title": "T", "x": {"label": "V", "unit": "m s-1"}, "y": {"label": "S"}, "series": [
    {"kind": "points", "label": "a", "x": [1, 2], "y": [3, 4]}, {"kind": "level", "y": 0}, {"kind": "mark", "x": 1},
    {"kind": "bars", "x": [1], "y": [2], "width": 1}, {"kind": "error", "x": [1], "y": [2], "u": [0.5]},
    {"kind": "line", "x": [1, 2], "y": [3, 4]}, {"kind": "band", "x": [1, 2], "low": [0, 1], "high": [2, 2]}]}
reply = {
    "values": [{"name": "slope", "value": 1.002, "unit": "1", "u": 0.001}, {"name": "cause", "value": "clock"}],
    "tables": [{"name": "by bin", "columns": [{"name": "centre", "unit": "m s-1"}, {"name": "mark"}], "rows": [[4, "x"], [4.5, None]]}],
    "figures": [figure], "notes": ["seen"], "printed": "hello",
    "requirements": [{"name": "slope", "value": 1.002, "unit": "1", "u": 0.001, "scatter_only": "why"},
                     {"name": "share", "value": 0.2, "unit": "%"}],
    "accounts": [{"name": "intervals", "states": b"xxuurx", "exclusions": [
        {"reason": "window cleaned", "mask": bytes([0, 0, 0, 0, 0, 1]), "unknown": "exclude", "both_sides": False},
        {"reason": "unit missing", "mask": bytes([1, 1, 0, 0, 0, 0]), "unknown": "exclude", "both_sides": False},
        {"reason": "icing possible", "mask": bytes([0, 1, 0, 2, 0, 0]), "unknown": "keep", "both_sides": True}]}]}
seed("result", "answer.wire", wire(reply))
no_accounts = {k: v for k, v in reply.items() if k != "accounts"}
plain("result", "short", no_accounts, both=False)
plain("result", "undefined", {**no_accounts, "undefined": "too few values"}, both=False)
plain("result", "described", {"title": "Speeds", "practice": "a practice", "needs": ["unit.wind_speed"], "parameters": [
    {"name": "width", "default": 0.5, "unit": "m/s", "text": "width of a bin", "source": "a clause", "evidence": "recalled"},
    {"name": "edges", "default": [1, 2], "unit": "m/s", "text": ""}, {"name": "on", "default": True, "text": "t"},
    {"name": "word", "default": "a", "text": "t", "evidence": "seen", "source": "s"}]})
for kind in ("script", "undefined", "limit", "crash"):
    plain("result", f"error-{kind}", {"error": {"kind": kind, "message": "no", "file": "x.lua", "line": 3, "source": "x = 1",
                                                "hint": "h", "trace": "t"}, "printed": "p"}, both=False)

record = json.loads((tests / "fixtures/report/campaign.json").read_text())
hostile = json.loads((tests / "fixtures/report/hostile.json").read_text())
plain("report", "hostile", hostile)
plain("report", "figure", figure)
small = {k: v for k, v in record.items() if k != "checks"}
for i, check in enumerate(record["checks"]):
    if len(json.dumps(check)) < 12000:
        plain("report", f"check-{i}", {"checks": [check]}, both=False)
plain("report", "campaign", small, both=False)
figures = json.loads((tests / "fixtures/report/figures.json").read_text())
plain("report", "figures", {"checks": [{"figures": figures if isinstance(figures, list) else list(figures.values())}]}, both=False)
