-- The worked numbers of practice 1.8, 1.10, 2.9 and 8.4 (computed in R 4.2.2; the standard
-- atmosphere agrees with ISO 2533, recalled), and two by hand.
local air, shear = require "practice.air", require "practice.shear"
local sectors, turbulence = require "practice.sectors", require "practice.turbulence"
local wind_field = require "practice.wind_field"
local function close(x, y, to) return math.abs(x - y) <= (to or 1e-8) * math.abs(y) end

-- density of humid air
local t = column.new({ 288.15, 288.15, 293.15, 293.15, 273.15, 303.15, 263.15 }, "K"):to("degC")
local b = column.new({ 101325, 101325, 101325, 101325, 100000, 95000, 101325 }, "Pa"):to("hPa")
local rh = column.new({ 0, 50, 50, 100, 80, 60, 0 }, "%")
local pw, rho = air.vapour_pressure(t), air.density(t, b, rh)
local right = { 1.22501227, 1.22123053, 1.19902004, 1.19392176, 1.27291072, 1.08058430, 1.34139192 }
for i, x in ipairs(right) do if not close(rho[i], x) then print("density", i, rho[i]) end end
for i, x in pairs{ [1] = 1655.0009, [3] = 2269.8745, [5] = 641.4863, [6] = 4269.8152 } do
  if not close(pw[i], x, 1e-7) then print("vapour", i, pw[i]) end
end
print(rho.unit, pw.unit, air.density(t, b)[2] == rho[2])
--> kg m-3	Pa	true
local normal = air.normalised_speed(column.new({ 10 }, "m/s"), column.new({ 1.2 }, "kg m-3"))
print(close(normal[1], 9.9315047), normal.unit)
--> true	m s-1

-- the standard atmosphere
local levels = { { -500, 291.40, 107477.51, 1.284891 }, { 0, 288.15, 101325, 1.225000 }, { 500, 284.90, 95460.84, 1.167269 },
  { 1000, 281.65, 89874.56, 1.111643 }, { 1500, 278.40, 84555.99, 1.058067 }, { 2000, 275.15, 79495.20, 1.006490 },
  { 3000, 268.65, 70108.53, 0.909122 } }
for _, l in ipairs(levels) do
  local k, p, d = air.standard(l[1])
  if not (close(k, l[2], 1e-12) and close(p, l[3], 1e-7) and close(d, l[4], 1e-6)) then print(l[1], k, p, d) end
end
-- the step upwards: from the ground of the standard atmosphere to 500 m
local up = air.pressure_above(column.new({ 1013.25 }, "hPa"), column.new({ 15 }, "degC"), 500)
print(close(up[1], 954.6084, 1e-7), up.unit)
--> true	hPa

-- shear
local v = { column.new({ 7, 7 }, "m/s"), column.new({ 8, missing }, "m/s"), column.new({ 8.6, 8.6 }, "m/s") }
local alpha, intercept = shear.power_law(v, { 40, 80, 120 })
print(close(alpha[1], 0.18794215), close(intercept[1], 1.25349299), alpha[2], alpha.unit)
--> true	true	missing	1
-- by hand: two heights, 8 = 4 * 2^1
print(string.format("%.12f", shear.exponent({ v[1] / 7 * 4, v[1] / 7 * 8 }, { 50, 100 })[1]), shear.speed_at(v[1], 40, 40, alpha)[1])
--> 1.000000000000	7.0
local veer = shear.veer(column.new({ 5 }, "degree"), column.new({ 355 }, "degree"), 120, 40)
print(veer[1], veer.unit)
--> 0.125	degree m-1
print(select(2, pcall(shear.exponent, { v[1] }, { 40 })).kind)
--> undefined

-- disturbed sectors: full width by distance in rotor diameters
local widths = { { 2, 80.8010 }, { 2.5, 73.6882 }, { 3, 67.8741 }, { 4, 59.1084 }, { 5, 52.9310 }, { 6, 48.4004 }, { 8, 42.2667 },
  { 10, 38.3418 }, { 15, 32.8426 }, { 20, 29.9891 } }
for _, w in ipairs(widths) do if math.abs(sectors.width(1, w[1]) - w[2]) > 5e-5 then print(w[1], sectors.width(1, w[1])) end end
print(sectors.equivalent_diameter(10, 30))
--> 15.0
-- by hand: widened, narrowed, across north, to nothing, to everything
print(table.concat({ sectors.widened(52, 98, 10) }, " "), table.concat({ sectors.widened(52, 98, -10) }, " "),
  table.concat({ sectors.widened(355, 15, 10) }, " "), #{ sectors.widened(52, 70, -9) },
  table.concat({ sectors.widened(20, 350, 15) }, " "), table.concat({ sectors.widened(0, 360, -10) }, " "))
--> 42 108	62 88	345 25	0	0 360	0 360
local field = { sources = {}, disturbed = { { from = 52, to = 98 }, { from = 355, to = 5 } } }
local coming = column.new({ 0, 45, 50, 60, 100 }, "degree")
for _, margin in ipairs{ 0, 5, -5, -23 } do
  local hit = sectors.disturbed(field, coming, margin)
  print(margin, hit and hit:count() or "none")
end
--> 0	2
--> 5	4
--> -5	1
--> -23	none

-- turbulence, by hand: errors of +10 % and -20 %
local ti = turbulence.intensity(column.new({ 1.1, 0.8 }, "m/s"), column.new({ 10, 10 }, "m/s"))
local mrbe, rrmse = turbulence.metrics(ti, column.new({ 10, 10 }, "%"))
print(ti.unit, close(ti[1], 11), close(mrbe, -5), close(rrmse, math.sqrt(250)), turbulence.representative(10, 2))
--> %	true	true	true	12.56

-- two heights of four beams
local beams = { { azimuth = 15, elevation = 5 }, { azimuth = -15, elevation = 5 }, { azimuth = 15, elevation = -5 }, { azimuth = -15, elevation = -5 } }
local top = reconstruct.wind({ beams[1], beams[2] }, { column.new({ 9.9 }, "m/s"), column.new({ 9.3 }, "m/s") }, { frame = "nacelle" })
local low = reconstruct.wind({ beams[3], beams[4] }, { column.new({ 9.4 }, "m/s"), column.new({ 8.9 }, "m/s") }, { frame = "nacelle" })
local hub = wind_field.between(low, 72.6, top, 107.4, 90)
print(close(hub.shear[1], 0.1266417439), close(hub.speed[1], 9.82190349), close(hub.direction[1], (6.652159518 + 5.822247022) / 2), close(hub.veer[1], (6.652159518 - 5.822247022) / 34.8, 1e-7))
--> true	true	true	true

-- two level beams: an error of 0.1 degree of the half opening
local u, w = column.new({ 9.835123714 }, "m/s"), column.new({ 1.159110992 }, "m/s")
print(close(0.1 * wind_field.opening_sensitivity(u, w, 15)[1], 0.003684186, 1e-6))
--> true
local level = { { azimuth = 15, elevation = 0 }, { azimuth = -15, elevation = 0 } }
local seen = { column.new({ 9.8 }, "m/s"), column.new({ 9.2 }, "m/s") }
local s = wind_field.sensitivities(level, seen, { frame = "nacelle" })
print(close(0.1 * s.opening.speed[1], 0.003684186, 1e-5), s.opening.direction[1] < 0, math.abs(s.tilt.speed[1]) < 1e-6)
--> true	true	true
print(wind_field.compass(10, 30), wind_field.compass(column.new({ 10, 350 }, "degree"), column.new({ 30, -30 }, "degree"))[2])
--> 340.0	20.0

-- scalar and vector means (practice 4.2, R 4.2.2)
local averaging, filters = require "practice.averaging", require "practice.filters"
local speed, from = column.new({ 8, 9, 7, 8 }, "m/s"), column.new({ 350, 10, 20, 340 }, "degree")
local length, towards = averaging.vector(speed, from)
print(averaging.scalar(speed), close(length, 7.709395192), close(towards, 359.6871658), circular.mean(from))
--> 8.0	true	true	0.0
print(close(speed:sd(), 0.8164965809), close(speed:sd() * math.sqrt(3 / 4), 0.7071067812), close(speed:sd() / speed:mean(), 0.1020620726))
--> true	true	true
for sigma, x in pairs{ [2] = 0.99939095, [5] = 0.99619952, [8] = 0.99029960, [10] = 0.98488453, [15] = 0.96631109 } do
  if not close(averaging.ratio(sigma), x) then print(sigma, averaging.ratio(sigma)) end
end
print(select(2, pcall(averaging.vector, column.new({ 1, 1 }, "m/s"), column.new({ 90, 270 }, "degree"))).kind)
--> undefined

-- filters: true, false, and unknown where a value is missing
local flat = filters.flat(column.new({ 0.001, 0.5, missing }, "m/s"), column.new({ 5, 5, 5 }, "m/s"), 0.01, 2)
print(flat[1], flat[2], flat[3], filters.out_of_range(column.new({ -1, 0, 50, 51 }, "m/s"), 0, 50, "m/s"):count())
--> true	false	missing	2
print(filters.precipitation(column.new({ 0, 0.2 }, "mm/h"), 0.1):count())
--> 1

-- ice from the first cold and humid interval until it has been above 3 degC for two in succession
local cold, wet = column.new({ 3, 1, 2.5, 3.5, 2.9, 3.5, 4, 1, missing }, "degC"), column.new({ 90, 90, 50, 50, 50, 50, 50, 70, 90 }, "%")
local function show(m)
  local out = {}
  for i = 1, #m do out[i] = m[i] == missing and "?" or m[i] and "1" or "0" end
  return table.concat(out)
end
print(show(filters.icing(cold, wet, 2, 80)), show(filters.icing(cold, wet, 2, 80, { above = 3, held = 2 })))
--> 01000000?	01111100?
-- spikes: in a window of 5 about the fourth the median is 5, the distances 0 0.5 0.5 0.5 20: MAD 0.5, limit 3.7065
local gusty = column.new({ 5, 4.5, 5.5, 25, 4.5, 5, missing, 5.5 }, "m/s")
print(show(filters.spike(gusty, 5, 5)), show(filters.spike(gusty, 5, 60)))
--> 000100??	000000??
print(show(filters.unsteady(column.new({ 3.1, 3.1, 2.4, 1, missing }, "m/s"), column.new({ 9, 3.9, 4.7, 9, 9 }, "m/s"), 3, 0.5, 4)))
--> 1010?

-- rotor-equivalent speed, by hand: equal areas, 8 and 10 m/s; with veer of 60 degrees the second counts half
local slow, fast = column.new({ 8 }, "m/s"), column.new({ 10 }, "m/s")
print(close(shear.rotor_equivalent({ slow, fast }, { 1, 1 })[1], (1512 / 2) ^ (1 / 3)))
--> true
print(close(shear.rotor_equivalent({ slow, fast }, { 1, 1 }, { column.new({ 10 }, "degree"), column.new({ 70 }, "degree") }, column.new({ 10 }, "degree"))[1], (637 / 2) ^ (1 / 3)))
--> true

-- classification (practice 1.6, R 4.2.2): influences of 1.2, 0.8 and 0.5 %
local classification = require "practice.classification"
local class = classification.accuracy_class{ 1.2, 0.8, 0.5 }
print(close(class, 1.079352, 1e-6), close(class * math.sqrt(2), 1.526434, 1e-6), close(classification.u(class * math.sqrt(2), 100), 0.881287, 1e-6))
--> true	true	true
-- by hand: 3 % and 4 % of 10 m/s
print(close(classification.u_by_conditions({ { slope = 0.3, use = 15, calibration = 5 }, { slope = -2, use = 1, calibration = 3 } }, 10), 0.5))
--> true
print(classification.significant(0.4, 0.3, 0.5, 0.1), classification.significant(-0.6, 0, 0.5, 0.1), classification.significant(0.3, 0.3, 0.5, 0.1))
--> true	true	false
