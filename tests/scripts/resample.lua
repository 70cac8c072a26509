-- resample: fields, units, options. (The numbers: tests/reference/resample.lua, tests/unit/test_resample.c.)
local x, y, t = {}, {}, {}
for i = 1, 60 do
  x[i], t[i] = 5 + (i * 7) % 11, 86400 + 7200 * i
  y[i] = 1.02 * x[i] + 0.1 * ((i * 5) % 3 - 1)
end
y[30] = missing
x, y, t = column.new(x, "m/s"), column.new(y, "m/s"), column.new(t, "s")

local r = resample.blocks{ x = x, y = y, statistic = "through_origin", times = 400, seed = 7 }
print(r.statistic, r.unit, r.generator, r.seed, r.times, r.length, r.n, r.left_out, r.runs, r.blocks, r.undefined, #r.values)
--> through_origin	1	MT19937	7	400	4	59	1	2	53	0	400
print(r.estimate == fit.through_origin(x, y).slope, r.standard_error == r.values:sd(), r.interval.coverage)
--> true	true	0.95
print(r.interval.low == r.values:quantile(0.025), r.interval.high == r.values:quantile(0.975), r.interval[1] == r.interval.low)
--> true	true	true
local again = resample.blocks{ x = x, y = y, statistic = "through_origin", times = 400, seed = 7 }
print((again.values - r.values):abs():max(), resample.blocks{ x = x, statistic = "mean", length = "cube root", seed = 2 }.length)
--> 0.0	4
print(resample.blocks{ x = x, y = y, statistic = "deviation" }.unit, resample.blocks{ x = x, y = y, statistic = "intercept" }.unit)
--> m s-1	m s-1

local bins = { width = 1, lowest = 5, highest = 15, at_least = 2 }
local b = resample.blocks{ x = x, y = y, statistic = "line.bin_means", bins = bins, times = 50 }
print(b.estimate == compare.by_bin(y, x, bins).line.bin_means.slope, #b.values)
--> true	50

local days = resample.leave_out_days{ x = x, y = y, statistic = "ratio", time = t }
print(days.days, days.rows[1].date, days.rows[1].records, days.columns[1].values[6], days.columns[3].unit, #days.values)
--> 6	1970-01-02	11	1970-01-07	1	6
print(days.spread == days.most - days.least, days.rows[6].value == days.values[6], days.standard_error > 0)
--> true	true	true
-- bins that one day alone fills: without it there is no value, and no standard error
local few = column.new{ 4, 4.1, 5, 5.1, 5, 5.1, 9 }
local when = column.new{ 0, 600, 1200, 1800, 86400, 87000, 172800 }
local d = resample.leave_out_days{ x = few, y = 2 * few, statistic = "through_origin.bin_means", time = when,
  bins = { width = 1, lowest = 4, highest = 5, at_least = 2 } }
print(d.rows[1].value, d.rows[2].value, d.least)
--> missing	2.0	2.0

local function says(f, ...)
  local ok, e = pcall(f, ...)
  print(ok or (e.kind .. ": " .. (e.message:gsub("^[^ ]*lua:%d+: ", ""))) .. (e.hint and " (" .. e.hint .. ")" or ""))
end
says(function() return d.standard_error end)
--> undefined: standard_error is not defined: without one of the days the statistic is not defined
says(resample.blocks, { x = x, y = y, statistic = "slope" })
--> script: resample.blocks: no statistic 'slope'
says(resample.blocks, { x = x, y = y })
--> script: resample.blocks: needs the statistic (statistic = "through_origin")
says(resample.blocks, { y = y, statistic = "line" })
--> script: resample.blocks: needs x ({ x = column, y = column, statistic = "through_origin" })
says(resample.blocks, { x = x, y = y, statistic = "mean" })
--> script: resample.blocks: the mean is of x alone; there is a y
says(resample.blocks, { x = x, y = y, statistic = "line", bins = bins })
--> script: resample.blocks: 'line' is not of bins (bins = { width = 0.5, lowest = 4, highest = 16, at_least = 3 })
says(resample.blocks, { x = x, y = y, statistic = "line.bin_means" })
--> script: resample.blocks: 'line.bin_means' needs bins (bins = { width = 0.5, lowest = 4, highest = 16, at_least = 3 })
says(resample.blocks, { x = x, y = y, statistic = "line", lenght = 3 })
--> script: resample.blocks: unknown option 'lenght' (did you mean 'length'?)
says(resample.blocks, { x = x, y = y, statistic = "line", length = "day" })
--> script: resample.blocks: length = 144, or "cube root"; not 'day'
says(resample.blocks, { x = x, y = y, statistic = "line", seed = 0 })
--> script: seed: expected a whole number from 1 to 4294967295, got 0
says(resample.blocks, { x = x, y = y, statistic = "line", coverage = 95 })
--> script: resampling: a coverage of 95: it lies between 0 and 1
says(resample.blocks, { x = x, statistic = "mean", length = 100, time = t })
--> undefined: resampling: 60 records without a gap are one block of 60: nothing to draw (shorter blocks: their length is at most a tenth of the records, or better)
says(resample.blocks, { x = x, y = y:to("km/h"), statistic = "deviation" })
--> script: resample.blocks: x is in 'm s-1', y in 'km h-1' (convert one with :to(unit))
says(resample.blocks, { x = x, y = column.new{ 1 }, statistic = "line" })
--> script: y: the columns have 60 and 1 values (cut both alike: local a, b = r:kept(a, b), or :where with the same mask)
says(resample.leave_out_days, { x = x, y = y, statistic = "line" })
--> script: resample.leave_out_days: the columns have no times (columns of a check have times; or time = column)
says(resample.leave_out_days, { x = x, y = y, statistic = "line", time = x })
--> script: resample.leave_out_days: the time is in 'm s-1', not in seconds
says(resample.leave_out_days, { x = x, statistic = "mean", time = t - t })
--> script: resampling: the times must rise; row 2 does not
