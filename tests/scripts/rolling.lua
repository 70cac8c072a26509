-- Windows about a row, and masks that remember. Values: tests/unit/test_rolling.c, test_mask.c and, against R,
-- tests/reference/test_reference_rolling.c.
local function show(m)
  local out = {}
  for i = 1, #m do out[i] = m[i] == missing and "?" or m[i] and "1" or "0" end
  return table.concat(out)
end
local v = column.new({ 1, 2, 30, 4, missing, 5, missing }, "m/s")
print(v:rolling_median(3))
--> column of 7 in m s-1: 1.5 2 4 17 4.5 missing missing
print(v:rolling_mad(3))
--> column of 7 in m s-1: 0.5 1 2 13 0.5 missing missing
print(column.new({ 1, 2, 4 }, "degC"):rolling_mad(3).unit)
--> K
local on, off = column.new{ 0, 1, 0, 0, 0, missing, 0 }:above(0.5), column.new{ 0, 0, 0, 1, 0, 0, 1 }:above(0.5)
print(show(on:latch(off)), show((~off):held(2)), show(on:latch(off:held(2))))
--> 01100?0	0110010	0111111
print((~off):held(3):count())
--> 1
local function fails(f, ...)
  local ok, e = pcall(f, ...)
  print(ok and "no error" or e.kind .. ": " .. e.message, ok and "" or e.hint)
end
fails(v.rolling_median, v, 4)
fails(v.rolling_mad, v, 1011)
fails(v.rolling_mad, v)
fails(on.held, on, 0)
fails(on.latch, on, v)
fails(on.latch, on, column.new{ 1 }:missing())
--> script: rolling_median: a window of 4 rows	an odd number from 1 to 1009, so that it has a middle
--> script: rolling_mad: expected a whole number from 1 to 1009, got 1011	nil
--> script: rolling_mad: expected a number, got nothing	nil
--> script: held: expected a whole number from 1 to 2147483647, got 0	nil
--> script: latch: expected a mask, got column	a mask is made by col:below(2, "m/s"), :missing() and the like
--> script: latch: the masks have 7 and 1 values	nil
