#!/usr/bin/env python3
"""The interface of scripts is listed three times: the live sandbox, .luacheckrc and
scripts/types/windassay.d.lua. All must agree.

    interface.py WINDASSAY ROOT
"""
import re
import subprocess
import sys
import tempfile

windassay, root = sys.argv[1:]
LUA = {"assert", "error", "getmetatable", "ipairs", "pairs", "pcall", "print", "rawequal", "rawlen",
       "require", "select", "setmetatable", "tonumber", "tostring", "type",
       "math", "string", "table", "utf8"}  # an editor knows these

SCRIPT = """
for name, value in pairs(_ENV) do
  print(name)
  if type(value) == "table" and name ~= "data" then
    for entry in pairs(value) do print(name .. "." .. entry) end
  end
end
local c = column.new({ 1, 2, 3 }, "m/s")
local objects = { Column = c, Mask = c:missing(), Report = report, Budget = budget.new(1),
                  Bins = bin.by(c, { width = 1, lowest = 1, highest = 3, at_least = 1 }) }
for _, want in ipairs({ %s }) do
  local ok = pcall(function() return objects[want[1]][want[2]] end)
  if not ok then print("absent: " .. want[1] .. ":" .. want[2]) end
end
"""


def live(methods):
    wanted = ", ".join(f'{{ "{c}", "{m}" }}' for c, m in methods)
    with tempfile.NamedTemporaryFile("w", suffix=".lua") as f:
        f.write(SCRIPT % wanted)
        f.flush()
        done = subprocess.run([windassay, "script", f.name], capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(f"the script failed: {done.stderr}{done.stdout}")
    return [line.strip() for line in done.stdout.splitlines() if line.strip()]


def from_luacheckrc():
    text = open(f"{root}/.luacheckrc").read()
    text = text[text.index("read_globals = {") + len("read_globals = {"):text.index("std = \"windassay\"")]
    names = set()
    for name, fields in re.findall(r"(\w+) = \{ fields = \{(.*?)\} \}", text, re.S):
        names |= {name} | {f"{name}.{f}" for f in re.findall(r'"(\w+)"', fields)}
    rest = re.sub(r"\w+ = \{ fields = \{.*?\} \}", "", text, flags=re.S)
    return names | set(re.findall(r'"(\w+)"', rest))


def from_types():
    text = open(f"{root}/scripts/types/windassay.d.lua").read()
    names = set(re.findall(r"^(\w+) = \{\}$", text, re.M))
    names |= set(re.findall(r"^function (\w+(?:\.\w+)?)\(", text, re.M))
    return names, re.findall(r"^function (\w+):(\w+)\(", text, re.M)


typed, methods = from_types()
printed = live([m for m in methods if m[0] in {"Column", "Mask", "Report", "Bins", "Budget"}])
absent = [line for line in printed if line.startswith("absent")]
found = {line for line in printed if re.fullmatch(r"\w+(\.\w+)?", line)}
checked = from_luacheckrc()
faults = absent
ours = {name for name in found if name.split(".")[0] not in LUA}
if ours != typed:
    faults.append(f"windassay.d.lua and the sandbox differ: {sorted(ours ^ typed)}")
lua = {name for name in found if name.split(".")[0] in LUA}
globals_of = {name for name in found if "." not in name}
if {name for name in checked if "." not in name} != globals_of:
    faults.append(f".luacheckrc and the sandbox differ: "
                  f"{sorted({n for n in checked if '.' not in n} ^ globals_of)}")
if {name for name in checked if "." in name} != {name for name in lua if "." in name}:
    faults.append(f".luacheckrc and the sandbox differ: "
                  f"{sorted({n for n in checked if '.' in n} ^ {n for n in lua if '.' in n})}")
if len(found) < 50:
    faults.append(f"only {len(found)} names were printed")
print("\n".join(faults) or f"{len(found)} names, {len(methods)} methods: equal")
sys.exit(bool(faults))
