-- bin.by and the bins that it gives.
local v = column.new({ 4.25, 4.2499, 3.75, 16.249, 16.25, 4, missing, 4.5 }, "m/s")
local s = column.new({ 1, 2, 3, 4, 5, 7, 6, 3 }, "degC")
local b = bin.by(v, { width = 0.5, lowest = 4, highest = 16, at_least = 2 })
print(#b, b.centre[1], b.centre[25], b.centre.unit, b.lower[1], b.upper[25])
--> 25	4.0	16.0	m s-1	3.75	16.25
print(b.count[1], b.count[2], b.count[25], b.complete[1], b.complete[25], b.complete:count())
--> 3.0	2.0	1.0	true	false	2
print(b.outside[1], b.outside[5], b.outside[7], b.outside:count())
--> false	true	missing	1
print(b:mean(s)[1], b:sd(s)[2], b:mean(s)[25], b:mean(s).unit, b:sd(s).unit)
--> 4.0	1.4142135623730951	missing	degC	K
print(b:rms(s)[2], b:standard_error(s)[2], b:min(s)[1], b:max(s)[1])
--> 2.23606797749979	1.0	2.0	7.0
print(b:share(s:above(2, "degC"))[1], b:share(s:above(2.5, "degC"))[2], b:share(s:missing())[25], b:share(v:below(4.1, "m/s"))[1], b:share(s:missing()).unit)
--> 0.6666666666666666	0.5	missing	0.6666666666666666	1
print(bin.by(v, { edges = { 3, 4, 5, 20 } }).count, bin.by(v, { width = { 3.6, "km/h" }, lowest = 4.5, highest = { 16.5, "m/s" }, centred_on = 0.5 }).count[1])
--> column of 3 in 1: 1 4 2	4.0
print(b.centre == b.centre, b.mean == b.mean)
--> true	true

local function says(f, ...)
  local ok, e = pcall(f, ...)
  print(ok or (e.kind .. ": " .. (e.message:gsub("^[^ ]*lua:%d+: ", ""))) .. (e.hint and " (" .. e.hint .. ")" or ""))
end
says(bin.by, v)
--> script: bin.by: needs to know the bins ({ width = 0.5, lowest = 4, highest = 16, at_least = 3 })
says(bin.by, v, { widht = 0.5 })
--> script: bin.by: unknown option 'widht' (did you mean 'width'?)
says(bin.by, v, { width = 0.5, lowest = 4 })
--> script: bin.by: needs width, lowest and highest ({ width = 0.5, lowest = 4, highest = 16 }, centres of bins, or { edges = { 4, 8, 16 } })
says(bin.by, v, { width = 0.5, lowest = 4.25, highest = 16 })
--> script: 4.25 is no centre of a bin of width 0.5 centred on 0 (the nearest centres are 4 and 4.5; or shift the bins by centred_on)
says(bin.by, v, { edges = { 4, 3 } })
--> script: edge 2 of the bins, 3, is not above the one before it, 4
says(bin.by, v, { edges = { 4, 8 }, width = 1 })
--> script: bin.by: bins go either by edges or by width, lowest and highest
says(bin.by, v, { width = { 1, "degree" }, lowest = 4, highest = 16 })
--> script: 'degree' cannot be converted to 'm s-1'
says(bin.by, v, { width = 0.5, lowest = 4, highest = 16, at_least = 0 })
--> script: at_least: expected a whole number from 1 to 2147483647, got 0
says(function() return b.days end)
--> script: bins of a column without times have no 'days'
says(function() return b.center end)
--> script: bins have no 'center' (did you mean 'centre'?)
says(function() return b[1] end)
--> script: bins have no entry of type number; their means are bins:mean(column)[i]
says(function() b.count = 3 end)
--> script: bins are read-only (keep your own in a local variable)
says(b.mean, b, column.new{ 1, 2 })
--> script: mean: the bins were made from 8 records, the column has 2
says(b.mean, s)
--> script: expected bins, got column (a method is called with a colon: bins:mean(column))
