-- fit.scan and practice.line_of_sight: names, units, what is left out, undefined and refused.
local los = require "practice.line_of_sight"
local function says(f, ...)
  local ok, e = pcall(f, ...)
  print(ok or (e.kind .. ": " .. e.message) .. (e.hint and " (" .. e.hint .. ")" or ""))
end
-- 12 records of a beam towards 350 degrees, tilt 2, gain 0.98, no noise; across north
local d = column.new({ 320, 330, 340, 345, 350, 355, 0, 5, 10, 15, 20, 25, missing, 40 }, "degree")
local V = column.new({ 5, 6, 7, 8, 9, 10, 11, 12, 5, 6, 7, missing, 8, 20 }, "m/s")
local v = V * angle.cos(2) * angle.cos(d - { 350, "degree" }) * 0.98

local c = los.coarse(V, d, v, { tilt = 2 })
print(string.format("%.9f %.9f", c.direction, c.amplitude), c.n, c.left_out)
--> 350.000000000 0.980000000	12	2
says(function() return c.offset end)
--> undefined: offset is not defined: no offset was fitted; ask for it: { offset = true }

local o = { centre = 350.2, half_width = 1, step = 0.1, tilt = 2, half_sector = 40, lowest = 4, highest = 16 }
local s = los.scan(V, d, v, o)
print(string.format("%.3f %.9f", s.direction, s.continuous), s.n, #s.rows, s.direction_u < 1e-6)
--> 350.001 350.000000000	11	21	true
print(s.rows[1].direction, s.rows[21].direction, s.rows[1].offset, s.rows[1].rss > s.rows[11].rss)
--> 349.2	351.2	nil	true
o.intercept = true
print(string.format("%.9f", los.scan(V, d, v, o).rows[9].offset) == "0.000000000")
--> true
-- columns without units count as m/s and degrees
local bare = los.scan(V / { 1, "m/s" }, d / { 1, "degree" }, v / { 1, "m/s" }, o)
print(string.format("%.9f", bare.continuous))
--> 350.000000000
o.centre = 352
says(los.scan, V, d, v, o)
--> undefined: the smallest residual lies outside the scan of 352 +- 1 degrees
o.half_width = 0.25
says(los.scan, V, d, v, o)
--> script: los.scan: half_width is not a whole number of steps
says(los.scan, V, d, v, { center = 352 })
--> script: los.scan has no option 'center'
says(los.scan, V, d, v, {})
--> script: los.scan needs the number 'centre'
says(los.calibrate, V, d, v, { direction = 350, sector = 3 })
--> script: los.calibrate has no option 'sector'
says(los.calibrate, V, d, v, { direction = 170, half_sector = 10 })
--> undefined: no record lies in the sector and the range of speeds

local k = los.calibrate(V, d, v, { direction = 350, tilt = 2, half_sector = 30, width = 1, lowest = 5, highest = 16, at_least = 1 })
print(string.format("%.9f %.9f %.9f", k.gain, k.records.slope, k.records.line.slope), k.records.n, k.bin_means.n, #k.bins, #k.rows)
--> 0.980000000 0.980000000 0.980000000	11	9	9	9
print(#k.projected, k.used:count(), string.format("%.6f", k.bins:mean(k.projected)[1]), k.rows[1].centre, k.left_out)
--> 11	11	4.327489	4.0	0
print(string.format("%.6f", los.corrected(column.new({ 9.8 }, "m/s"), 0.98)[1]))
--> 10.000000

-- the primitive
local at = column.new({ 349, 350, missing }, "degree")
local f = fit.scan(d, V, v, { at = at })
print(f.n, f.left_out, f.dof, f.gain_unit, f.rss_at.unit, f.rss_at[3], f.rss_at[2] < 1e-20, string.format("%.6f", f.gain))
--> 12	2	10	1	m2 s-2	missing	true	0.979403
says(function() return f.offset_at end)
--> undefined: offset_at is not defined: no offset was fitted; ask for it: { offset = true }
says(fit.scan, d, V, v, {})
--> script: fit.scan: needs the candidate directions ({ at = column.new({ 286.9, 287.0, 287.1 }, "degree") })
says(fit.scan, V, d, v, { at = at })
--> script: fit.scan: the direction is in 'm s-1', not degrees (convert it with :to("degree"))
