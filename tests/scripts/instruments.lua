-- The reference chain. Numbers: practice.md 1.5 (u_ope by class, computed in R from the recalled
-- formula of IEC 61400-12-1, annexes I and J; its 0.90929 % is a slip: 0.036373 / 4 is 0.90933 %).
local instruments = require "practice.instruments"
local function near(got, want, within)
  assert(math.abs(got - want) <= within, tostring(got) .. " is not " .. tostring(want))
end

local V = column.new({ 4, 8, 10, 12, 16 }, "m/s")
local OPERATIONAL = {
  ["0.9A"] = { 0.036373, 0.046765, 0.051962, 0.057158, 0.067550 },
  ["1.2A"] = { 0.048497, 0.062354, 0.069282, 0.076210, 0.090067 },
  ["1.7B"] = { 0.068705, 0.088335, 0.098150, 0.107965, 0.127594 },
}
local PERCENT = {
  ["0.9A"] = { 0.90933, 0.58457, 0.51962, 0.47631, 0.42219 },
  ["1.2A"] = { 1.21244, 0.77942, 0.69282, 0.63509, 0.56292 },
  ["1.7B"] = { 1.71762, 1.10418, 0.98150, 0.89970, 0.79747 },
}
for class, row in pairs(OPERATIONAL) do
  local u = instruments.operational(class, V)
  for i = 1, 5 do
    near(u[i], row[i], 5e-7)
    near(100 * u[i] / V[i], PERCENT[class][i], 5e-6)
  end
end

local cup = {
  name = "cup_top", class = "1.2A", mounting = { 0.5, "%" }, data_acquisition = { 1, "cm/s" },
  fitted = { { serial = "A-3391", calibration = {
    slope = 0.05, offset = 0.2, certificate = "K-1", standard_uncertainty = { { 4, 0.045 }, { 16, 0.060 } } },
    calibration_after = { slope = 0.05, offset = 0.2 + 0.03 * math.sqrt(3), certificate = "K-2" } } },
}
local parts = instruments.components(cup, V)
for i, c in ipairs(parts) do
  print(i, c.name, c.effect, c.kind, c.group, c.evidence, c.source)
end
--> 1	cup_top calibration	calibration	B	cup_top calibration	seen	certificate K-1 of A-3391, 4 to 16 m s-1
--> 2	cup_top recalibration	recalibration	B	cup_top recalibration	recalled	calibrated again: K-2, rectangular
--> 3	cup_top class	class	B	cup_top class	recalled	class 1.2A
--> 4	cup_top mounting	mounting	B	cup_top mounting	agreed	stated: 0.5 %
--> 5	cup_top data acquisition	data acquisition	B	cup_top data acquisition	agreed	stated: 1 cm/s
near(parts[1].u[1], 0.045, 0)
near(parts[1].u[3], 0.0525, 1e-15)
near(parts[2].u[3], 0.03, 1e-14)
near(parts[4].u[5], 0.08, 1e-16)
near(parts[5].u[2], 0.01, 1e-16)
assert(#parts.not_stated == 0)

-- into a budget: practice.md 1.4's reference chain without the recalibration
cup.fitted[1].calibration_after = nil
cup.fitted[1].calibration.standard_uncertainty = { 0.05, "m/s" }
local b = budget.new(1):include(instruments.components(cup, 10))
near(b:combined(), 0.099498744, 5e-10)
local per = budget.new(5):include(instruments.components(cup, V), { sensitivity = 0.9 })
near(per:combined()[3], 0.9 * 0.099498744, 5e-10)

-- beyond the certificate's points the nearest holds; missing readings stay missing
cup.fitted[1].calibration.standard_uncertainty = { { 4, 0.045 }, { 16, 0.060 } }
local wide = instruments.components(cup, column.new({ 3.9, missing, 16.2 }, "m/s"))
assert(wide[1].u[1] == 0.045 and wide[1].u[2] == missing and wide[1].u[3] == 0.060)

-- a vane and an inclinometer say what they state, no more
local vane = { name = "vane", mounting = { 0.3, "degree" }, linearity = { 0.4, "degree" }, fitted = { { serial = "V-1" } } }
local d = instruments.components(vane, column.new({ 250, 270 }, "degree"))
print(#d, d[1].name, d[1].u[1], d[2].name, d[2].u[2], table.concat(d.not_stated, ", "))
--> 2	vane mounting	0.3	vane linearity	0.4	calibration, data acquisition
local level = { name = "pitch", kind = "inclinometer", mounting = 0.02, fitted = {
  { serial = "I-1", starts = 0, ends = 600, calibration = { standard_uncertainty = 0.05 } },
  { serial = "I-2", starts = 600, ends = 1200, calibration = { standard_uncertainty = { 1, "mrad" } } },
  { serial = "I-3", starts = 1800 } } }
local tilt = instruments.components(level, column.new({ 1.5 }, "degree"), { serial = "I-1" })
print(#tilt, tilt[1].u[1], tilt[1].source, table.concat(tilt.not_stated, ", "))
--> 2	0.05	certificate of I-1, 0.05 degree	data acquisition

-- one after another: each reading by the instrument of its time; what belongs to the place is one for all
local seen = column.new({ 1.5, 1.6, 1.7 }, "degree")
tilt = instruments.components(level, seen, { time = column.new({ 0, 599, 600 }, "s") })
near(tilt[1].u[2], 0.05, 0)
near(tilt[1].u[3], 0.057295779513082, 1e-15)
print(#tilt, tilt[2].u[1], tilt[2].u[3], tilt[1].group, tilt[1].source)
--> 2	0.02	0.02	pitch calibration	certificate of I-1, 0.05 degree; certificate of I-2, 1 mrad
tilt = instruments.components(level, seen, { time = 600 })
near(tilt[1].u[1], 0.057295779513082, 1e-15)
print(tilt[1].source, #tilt.not_stated)
--> certificate of I-2, 1 mrad	1
print(table.concat(instruments.components(level, seen, { time = column.new({ 0, 600, 1800 }, "s") }).not_stated, ", "))
--> calibration of I-3, data acquisition

-- by bin: two of three records of the first bin by I-1, all of the second by I-2, the third incomplete
local x = column.new({ 1, 1, 1, 2, 2, 3 }, "degree")
local at = column.new({ 0, 300, 900, 600, 700, 0 }, "s")
local bins = bin.by(x, { width = 1, lowest = 1, highest = 3, at_least = 2 })
tilt = instruments.components(level, bins:mean(x), { time = at, bins = bins })
near(tilt[1].u[1], (2 * 0.05 + 0.057295779513082) / 3, 1e-15)
near(tilt[1].u[2], 0.057295779513082, 1e-15)
assert(tilt[1].u[3] == missing)
-- a vane likewise; a cup calibrated again counts its difference by share, and the class stays the place's
local vanes = { name = "vane", linearity = { 0.4, "degree" }, fitted = {
  { serial = "V-1", starts = 0, ends = 600, calibration = { standard_uncertainty = 0.3 } },
  { serial = "V-2", starts = 600, calibration = { standard_uncertainty = 0.6 } } } }
d = instruments.components(vanes, bins:mean(x), { time = at, bins = bins })
near(d[1].u[1], 0.4, 1e-15)
print(d[2].effect, d[2].u[1], d[2].u[2])
--> linearity	0.4	0.4
cup.fitted[1].starts, cup.fitted[1].ends = 0, 600
cup.fitted[1].calibration_after = { slope = 0.05, offset = 0.2 + 0.03 * math.sqrt(3), certificate = "K-2" }
cup.fitted[2] = { serial = "A-3402", starts = 600, calibration = { slope = 0.05, offset = 0.2, certificate = "K-3",
                                                                   standard_uncertainty = 0.09 } }
local speed = bin.by(column.new({ 10, 10 }, "m/s"), { width = 1, lowest = 10, highest = 10 })
local c = instruments.components(cup, column.new({ 10 }, "m/s"), { bins = speed, time = column.new({ 0, 600 }, "s") })
near(c[1].u[1], (0.0525 + 0.09) / 2, 1e-15)
near(c[2].u[1], 0.015, 1e-14)
near(c[3].u[1], 0.069282, 5e-7)
print(c[2].source)
--> calibrated again: K-2, rectangular

local function refused(f, ...) print(select(2, pcall(f, ...)).message) end
refused(instruments.components, level, V)
refused(instruments.components, level, V, { serial = "I-4" })
refused(instruments.components, level, seen, { time = 1500 })
refused(instruments.components, level, seen, { time = column.new({ 0, 600, 1500 }, "s") })
refused(instruments.operational, "A", V)
refused(instruments.components, { name = "x", mounting = "much", fitted = { { serial = "1" } } }, V)
--> pitch: several instruments were fitted; say when: { time = } or which: { serial = "I-1" }
--> pitch: no instrument of serial I-4 was fitted
--> pitch: at some of the times nothing was fitted
--> pitch: at some of the times nothing was fitted
--> a class is written as in "1.2A"; this one is 'A'
--> x: mounting: a standard uncertainty is written { 0.5, "%" } or { 0.01, "m/s" }
