local d = data.pairs
local c = compare.by_bin(d.unit, d.mast, { width = 1, lowest = 6, highest = 8, at_least = 3 })
report:table("by bin", c)
local line = c.through_origin.records
report:value("forced slope", line.slope, { unit = "1", u = line.slope_u })
