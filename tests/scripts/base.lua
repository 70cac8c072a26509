-- What the basic functions of the sandbox give.
print("hello", 1, 2.0, 0.1 + 0.2, 1e300, -0.0, 0 / 0, -(0 / 0), 1 / 0, true, nil, missing)
--> hello	1	2.0	0.30000000000000004	1e+300	0.0	nan	nan	inf	true	nil	missing
print({}, print, math.type(3), math.tointeger(3.0))
--> table	function	integer	3

-- pairs: numbers by value, then texts bytewise, then booleans; in every run.
local t = { z = 1, a = 2, [10] = 3, [2] = 4, [2.5] = 5, [true] = 6, Z = 7, ["ä"] = 8 }
local keys = {}
for k, v in pairs(t) do keys[#keys + 1] = tostring(k) .. "=" .. v end
print(table.concat(keys, " "))
--> 2=4 2.5=5 10=3 Z=7 a=2 z=1 ä=8 true=6
for k in pairs(t) do t[k] = nil end
for k in pairs(t) do print("left", k) end

-- sort is stable, with and without an order
local rows = {}
for i = 1, 200 do rows[i] = { key = i % 3, at = i } end
table.sort(rows, function(a, b) return a.key < b.key end)
local stable = true
for i = 2, 200 do
  local a, b = rows[i - 1], rows[i]
  if a.key > b.key or (a.key == b.key and a.at > b.at) then stable = false end
end
print(stable, rows[1].at, rows[200].at)
--> true	3	200
local words = { "b", "B", "a", "ab", "" }
table.sort(words)
print(table.concat(words, ","))
--> ,B,a,ab,b

-- lists
local list = { 1, 2, 3 }
table.insert(list, 4)
table.insert(list, 1, 0)
print(table.concat(list, " "), table.remove(list), table.remove(list, 1), #list)
--> 0 1 2 3 4	4	0	3
print(table.unpack({ 7, 8, 9 }))
--> 7	8	9
print(select("#", table.unpack({}, 1, 3)), table.pack(1, nil, 3).n)
--> 3	3

-- text
print(("%5.2f|%-4d|%s|%s|%%|%x|%g"):format(2.345, 7, true, 0.1, 255, 0 / 0))
-->  2.35|7   |true|0.1|%|ff|nan
print(string.rep("ab", 3, "-"), ("x"):rep(0), ("Abc"):lower(), ("a,b"):find(",", 1, true))
--> ab-ab-ab		abc	2	2

-- errors come as records
local ok, e = pcall(function() error("no good") end)
print(ok, e.kind, e.message, e.file, e.line, tostring(e))
--> false	script	no good	campaign/base.lua	50	campaign/base.lua:50: no good
ok, e = pcall(function() local n = nil; return n.x end)
print(ok, e.kind, e.line, e.message)
--> false	script	53	attempt to index a nil value (local 'n')
ok, e = pcall(error, { code = 3 })
print(ok, e.code)
--> false	3
ok, e = pcall(undefined, "no spread")
print(ok, e.kind, e.message)
--> false	undefined	no spread
print(pcall(function(...) return ... end, 1, 2, 3))
--> true	1	2	3

-- metatables of a script's own
local Point = {}
Point.__index = Point
Point.__add = function(a, b) return setmetatable({ x = a.x + b.x }, Point) end
Point.__tostring = function(p) return "point " .. p.x end
function Point:double() return self.x * 2 end
local p = setmetatable({ x = 2 }, Point) + setmetatable({ x = 3 }, Point)
print(p, p:double(), getmetatable(p) == Point)
--> point 5	10	true

-- `^` is ours: the same last bit everywhere. Source: mpmath, mp.dps = 40.
print(2 ^ 0.5, 10 ^ -3, 1.1 ^ 10.1)
--> 1.4142135623730951	0.001	2.6185816494710763

-- So is what `..` makes of a number: all digits, and no sign of a nan.
print("a" .. 0.1 + 0.2, "a" .. 2.0, "a" .. 3, "a" .. 0 / 0, "a" .. 1e300 * 1e10, -0.0 .. "a", 1e-7 .. "")
--> a0.30000000000000004	a2.0	a3	anan	ainf	0.0a	1e-7
print(("%.14g"):format(0.1 + 0.2), ("%.15g"):format(0.1 + 0.2), string.rep(0.1 + 0.2, 1))
--> 0.3	0.3	0.30000000000000004
