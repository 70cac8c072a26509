-- Columns and masks: the fixed names of the interface.
local v = column.new({ 4, 6, missing, 8.5 }, "m/s")
local t = column.new({ 1, 3, -2, missing }, "degC")
print(#v, v[1], v[3], v.unit, column.new{ 1, 2 }.unit, v)
--> 4	4.0	missing	m s-1	1	column of 4 in m s-1: 4 6 missing 8.5
for i, x in ipairs(v) do print(i, x) end
--> 1	4.0
--> 2	6.0
--> 3	missing
--> 4	8.5

-- arithmetic with units
print(v + v, v - { 1, "m/s" })
--> column of 4 in m s-1: 8 12 missing 17	column of 4 in m s-1: 3 5 missing 7.5
print(2 * v, v / 2, v / v, -v)
--> column of 4 in m s-1: 8 12 missing 17	column of 4 in m s-1: 2 3 missing 4.25	column of 4 in 1: 1 1 missing 1	column of 4 in m s-1: -4 -6 missing -8.5
print(v ^ 2, (v * v):sqrt(), 1 / v)
--> column of 4 in m2 s-2: 16 36 missing 72.25	column of 4 in m s-1: 4 6 missing 8.5	column of 4 in m-1 s: 0.25 0.16666666666666666 missing 0.11764705882352941
print((v / { 2, "m/s" } - 2):exp(), column.new{ 1, 0, -1 }:log(), column.new{ 4, -4 }:sqrt(), (-v):abs())
--> column of 4 in 1: 1 2.718281828459045 missing 9.487735836358526	column of 3 in 1: 0 missing missing	column of 2 in 1: 2 missing	column of 4 in m s-1: 4 6 missing 8.5
print(t - t, t:to("K"), t:to("degF"), v:to("km/h"))
--> column of 4 in K: 0 0 0 missing	column of 4 in K: 274.15 276.15 271.15 missing	column of 4 in degF: 33.8 37.4 28.4 missing	column of 4 in km h-1: 14.4 21.6 missing 30.6
print(v:lag(1), v:lag(-1))
--> column of 4 in m s-1: missing 4 6 missing	column of 4 in m s-1: 6 missing 8.5 missing

-- masks
local function show(m)
  local s = {}
  for i = 1, #m do s[i] = m[i] == missing and "?" or m[i] and "T" or "F" end
  return table.concat(s)
end
print(show(v:below(6, "m/s")), show(v:above(20, "km/h")), show(v:equals({ 6, "m/s" })), show(v:between(4, 8.5, "m/s")))
--> TF?F	FT?T	FT?F	TT?F
print(show(v:missing()), show(t:below(2, "degC") & v:above(5, "m/s")), show(t:below(2, "degC") | v:above(5, "m/s")))
--> FFTF	FF??	TTTT
print(show(~v:below(6, "m/s")), show(v:missing():grow(1)), v:below(6, "m/s"):count(), v:below(6, "m/s"):count("unknown"))
--> FT?T	FTTT	1	1
print(show(column.new({ 350, 10, 9, 180 }, "degree"):in_sector(350, 10)), show(column.new{ 1, 1, 1, 2, 2 }:unchanged(3)))
--> TFTF	TTTFF
print(v:where(v:below(8, "m/s")), v:below(6, "m/s"), v:below(column.new({ 5, 5, 5, 5 }, "m/s")):count())
--> column of 2 in m s-1: 4 6	mask of 4: 1 true, 1 unknown	1

-- numbers
print(v:mean(), v:sd(), v:min(), v:max(), v:sum(), v:count(), v:median(), v:quantile(0.25))
--> 6.166666666666667	2.254624876411447	4.0	8.5	18.5	3	6.0	5.0
local r = column.new{ 1, 2, 3, 4, 3, 2, 1, 2, 3, 4 }
print(r:autocorrelation(1), r:effective_count())
--> 0.35714285714285715	4.7368421052631575
print(angle.sin(30), angle.cos(60), angle.tan(45), angle.asin(1), angle.acos(0), angle.atan2(1, 1), angle.sin({ 0, "rad" }))
--> 0.5	0.5	1.0	90.0	90.0	45.0	0.0
print(angle.sin(column.new({ 30, missing, 90 }, "degree")), angle.atan2(v, v))
--> column of 3 in 1: 0.5 missing 1	column of 4 in degree: 45 45 missing 45
local d = column.new({ 350, 10 }, "degree")
print(circular.mean(d), circular.resultant(d), circular.difference(10, 350), circular.difference(d, 0))
--> 0.0	0.984807753012208	20.0	column of 2 in degree: -10 10
print(circular.sd(d), circular.yamartino_sd(d), circular.angular_deviation(d))
--> 10.025560248464688	10.00810032632831	9.987312439537492

-- air density from pressure and temperature, p / (R T) with R of dry air: 1.225 kg m-3 in the
-- standard atmosphere (ISO 2533:1975)
local p, warm = column.new({ 1013.25 }, "hPa"), column.new({ 15 }, "degC")
local density = (p / (warm:to("K") * { 287.05287, "J kg-1 K-1" })):to("kg m-3")
print(density.unit, math.floor(density[1] * 1e5 + 0.5))
--> kg m-3	122500
-- power density of the wind in it
print((0.5 * density * column.new({ 10 }, "m/s") ^ 3):to("W m-2"))
--> column of 1 in W m-2: 612.5000090621439

-- errors
local function fails(f, ...)
  local ok, e = pcall(f, ...)
  print(ok and "no error" or e.kind .. ": " .. e.message, ok and "" or e.hint)
end
fails(function() return v + 1 end)
--> script: a bare number cannot be added to a column in 'm s-1'	say its unit: { 0.5, "m s-1" }
fails(function() return v + t end)
--> script: 'm s-1' and 'degC' cannot be added	nil
fails(function() return t * 2 end)
--> script: 'degC' has a zero of its own: it cannot be multiplied	convert with :to("K") first
fails(function() return v:below(2) end)
--> script: a bare number cannot be compared with a column in 'm s-1'	say its unit: (2, "m s-1")
fails(function() return v:below(2, "degC") end)
--> script: a column in 'm s-1' cannot be compared with 'degC'	nil
fails(function() return v:below({ 2, "m/s" }, "m/s") end)
--> script: below: the bound has a unit already	nil
fails(function() return v < v end)
--> script: columns have no order: < and > cannot compare them	use col:below(2, "m/s"), :above, :between or :equals, which give a mask
fails(function() return v:belo(2, "m/s") end)
--> script: a column has no 'belo'	did you mean 'below'?
fails(function() v[1] = 3 end)
--> script: a column is read-only	compute a new one, or column.new{...}
fails(function() return v[6] end)
--> script: the index of a column: expected a whole number from 1 to 5, got 6	nil
fails(function() return v + column.new({ 1 }, "m/s") end)
--> script: +: the columns have 4 and 1 values	cut both alike: local a, b = r:kept(a, b), or :where with the same mask
fails(function() return v:where(v) end)
--> script: where: expected a mask, got column	a mask is made by col:below(2, "m/s"), :missing() and the like
fails(function() return v + missing end)
--> script: +: expected a column or a number, got missing	nil
fails(function() return v:to("m/ss") end)
--> script: unit 'm/ss': 'ss' is not known	units are spelled as "m/s", "m s-1", "knot", "degree", "degC", "%", "hPa", "dB"; "1" is the pure number
fails(column.new, { 1, "2" })
--> script: column.new: value 2: expected a number, got string	nil
fails(column.new, { 1, 0 / 0 })
--> script: column.new: value 2: expected a finite number, got nan	nil
fails(function() return column.new{}:mean() end)
--> undefined: mean is not defined: 0 values, at least 1 needed	nil
fails(function() return column.new{ 1 }:sd() end)
--> undefined: standard deviation is not defined: 1 value, at least 2 needed	nil
fails(angle.asin, 2)
--> undefined: angle.asin is not defined for this argument	nil
fails(circular.mean, column.new({ 0, 180 }, "degree"))
--> undefined: mean direction undefined: the directions cancel (mean resultant 0.0e+00)	nil
fails(circular.mean, v)
--> script: circular.mean: the column is in 'm s-1', not in 'degree'	convert with :to("degree") first
fails(function() return v:quantile(2) end)
--> script: quantile: 2 does not lie in 0 to 1	nil
fails(function() return v:missing():count("maybe") end)
--> script: count: 'maybe' is none of "true", "false", "unknown"	nil
fails(function() column.new = nil end)
--> script: 'column.new' is read-only	keep your own in a local variable
