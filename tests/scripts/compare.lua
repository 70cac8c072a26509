-- compare.by_bin: the worked bin of six records (R 4.2: 10.0416667, 0.0416667, 0.416667 %, 0.02926887, 0.01194897).
local v = column.new({ 9.80, 9.95, 10.05, 10.10, 10.20, 9.90, 5, 6, 7, missing, 30 }, "m/s")
local s = column.new({ 9.86, 9.99, 10.06, 10.19, 10.22, 9.93, 5.1, 6.1, 7.1, 8, 30 }, "m/s")
local c = compare.by_bin(s, v, { width = 0.5, lowest = 4, highest = 16, at_least = 3 })
local function show(x, digits) return string.format("%." .. digits .. "f", x) end
print(#c.bins, c.n, c.left_out, c.centre[13], c.count[13], c.count[3], c.centre.unit)
--> 25	10	1	10.0	6.0	1.0	m s-1
print(show(c.reference_mean[13], 7), show(c.measured_mean[13], 7), show(c.deviation_mean[13], 7), show(c.relative_deviation[13], 6), show(c.deviation_sd[13], 8), show(c.standard_error[13], 8))
--> 10.0000000	10.0416667	0.0416667	0.416667	0.02926887	0.01194897
print(show(c.deviation_min[13], 2), show(c.deviation_max[13], 2), c.relative_deviation.unit, c.deviation_sd.unit)
--> 0.01	0.09	%	m s-1
print(c.measured_mean[3], c.rows[3].measured_mean, c.rows[3].count, c.rows[3].complete, c.rows[13].complete)
--> missing	missing	1	false	true
local names = {}
for i, column in ipairs(c.columns) do names[i] = column.name .. " " .. (column.unit or "") end
print(table.concat(names, ", ") .. ".")
--> centre m s-1, count 1, reference mean m s-1, measured mean m s-1, deviation m s-1, relative deviation %, standard deviation m s-1, standard error m s-1, complete .
print(c.columns[4].values[13] == c.measured_mean[13], c.columns[9].values[13], c.columns[9].values[3])
--> true	yes	no

-- fits: records in bins, complete or not; one complete bin has no fit of bin means
print(c.through_origin.records.n, c.through_origin.records.left_out, show(c.through_origin.records.slope, 6), c.line.records.dof)
--> 9	1	1.006051	7
local function says(f, ...)
  local ok, e = pcall(f, ...)
  print(ok or (e.kind .. ": " .. (e.message:gsub("^[^ ]*lua:%d+: ", ""))) .. (e.hint and " (" .. e.hint .. ")" or ""))
end
says(function() return c.through_origin.bin_means end)
--> undefined: bin_means is not defined: a fit of 1 coefficient needs at least 2 records, but there are 1
local all = compare.by_bin(s, v, { width = 0.5, lowest = 4, highest = 16 })
print(all.through_origin.bin_means.n, all.line.bin_means.n, all.line.bin_means.left_out)
--> 4	4	21
says(function() return c.days end)
--> undefined: days is not defined: the columns have no times
says(function() return c.center end)
--> script: a comparison has no 'center' (did you mean 'centre'?)
says(function() c.count = 1 end)
--> script: a comparison is read-only (keep your own in a local variable)
-- sorted by something else than the reference: the means are those of the same records
local key = column.new({ 4, 4, 4, 6, 6, 6, 6, missing, 4, 4, 4 }, "m/s")
local sorted = compare.by_bin(s, v, { width = 2, lowest = 4, highest = 6 }, key)
print(sorted.n, sorted.count[1], sorted.count[2], show(sorted.reference_mean[2], 4), show(sorted.deviation_mean[2], 4))
--> 9	5.0	4.0	8.8000	0.0600
says(compare.by_bin, s, v, { width = 2, lowest = 4, highest = 6 }, column.new({ 4 }, "m/s"))
--> script: what sorts the pairs: the columns have 11 and 1 values (cut both alike: local a, b = r:kept(a, b), or :where with the same mask)
says(compare.by_bin, s, v, { width = 2, lowest = 4, highest = 6 }, key / { 1, "m/s" })
--> script: compare.by_bin: what sorts the pairs is in '1', the reference in 'm s-1'
says(compare.by_bin, s, v)
--> script: compare.by_bin: needs to know the bins ({ width = 0.5, lowest = 4, highest = 16, at_least = 3 })
says(compare.by_bin, s, v:to("km/h"), { width = 0.5, lowest = 4, highest = 16 })
--> script: compare.by_bin: what is measured is in 'm s-1', the reference in 'km h-1' (convert one with :to(unit))
says(compare.by_bin, s, column.new{ 1 }, { width = 0.5, lowest = 4, highest = 16 })
--> script: compare.by_bin: the columns have 11 and 1 values (cut both alike: local a, b = r:kept(a, b), or :where with the same mask)
says(compare.by_bin, s, v, { width = 0.5, lowest = 4, highest = 16, at_lest = 3 })
--> script: compare.by_bin: unknown option 'at_lest' (did you mean 'at_least'?)
