-- practice.los_budget. Worked numbers: practice.md 2.7 (IEC 61400-50-3 practice, recalled; numbers computed in R).
local los = require "practice.line_of_sight"
local los_budget = require "practice.los_budget"
local function near(what, got, want)
  if not (math.abs(got - want) < 1e-9) then -- luacheck: ignore
    error(string.format("%s: %.12f is not %.9f", what, got, want))
  end
end

-- The budget of the records below, with some of its inputs other; its columns by name.
local function budget_of(o)
  local given = {
    place = "beam 1", gain = 1,
    tilt = 1.5, tilt_u = 0.05, tilt_source = "sheet", direction_u = 0.1, vane_u = 0.4, vane_source = "vane",
    height = 8.9, height_u = 0.1, height_source = "sheet", shear = 0.2, probe_u = 0, inclination = 0 }
  for key, value in pairs(o) do given[key] = value end
  local b, at = los_budget.by_bin(given), {}
  for _, c in ipairs(b:table{ k = 2 }.columns) do at[c.name] = c.values[2] end
  return b, at
end

-- 60 records at V 10 m/s, 20 degrees off a beam of tilt 1.5; scatter 0.12 m/s
local V, theta, v = {}, {}, {}
local half = 0.12 * math.sqrt(59 / 60)
local x = 10 * angle.cos(1.5) * angle.cos(20)
for i = 1, 60 do V[i], theta[i], v[i] = 10, 306, x + (i % 2 == 0 and half or -half) end
local speed, off = column.new(V, "m/s"), column.new(theta, "degree") - { 286, "degree" }
local projected = los.project(speed, column.new(theta, "degree"), 1.5, 286)
local bins = bin.by(projected, { width = 0.5, lowest = 9, highest = 9.5, at_least = 3 })
local class = (0.05 + 0.005 * 10) * 1.2 / math.sqrt(3)
local records = { bins = bins, speed = speed, off = off, projected = projected, measured = column.new(v, "m/s"),
  cup = { { name = "u_cal", u = { 0.05, "m/s" }, group = "a" }, { name = "u_ope", u = { class, "m/s" }, group = "b" },
          { name = "u_mast", u = { 0.05, "m/s" }, group = "c" }, { name = "u_lgt", u = { 0, "m/s" }, group = "d" },
          { name = "u_daq", u = { 0.01, "m/s" }, group = "e" } } }
local b, at = budget_of(records)
near("V_ref", bins:mean(projected)[2], 9.393706116)
near("cup", math.sqrt(at.u_cal ^ 2 + at.u_ope ^ 2 + at.u_mast ^ 2 + at.u_lgt ^ 2 + at.u_daq ^ 2), 0.093466196)
near("tilt", at.u_phi, 0.000214661)
near("direction", math.sqrt(at.u_dir ^ 2 + at.u_theta_los ^ 2), 0.024603940)
near("height", at.u_vert_pos, 0.021109452)
near("reference", math.sqrt(at.combined ^ 2 - at.u_stat ^ 2), 0.098928958)
near("u_A", at.u_stat, 0.015491933)
near("u_LOS", at.combined, 0.100134603)
near("U", at["expanded (k = 2)"], 0.200269206)
near("U, %", 100 * at["expanded (k = 2)"] / bins:mean(projected)[2], 2.131950936)
-- the first bin is empty: its budget is missing, and the gain does not hang on it
print(at.u_probe, at.u_inc, b:combined()[1], b:overall{ relative_to = bins:mean(projected) }.left_out)
--> 0.0	0.0	missing	1
print(string.format("%.6f", los_budget.of_gain(b, bins:mean(projected)).u * 9.393706116))
--> 0.100135
-- "Useful sensitivities", in % of V_ref to 4 decimals: 0.5 degree at 20 and 40 degrees, heights
local function percent(what, o, row, want)
  for key, value in pairs(records) do if o[key] == nil then o[key] = value end end
  local got = 100 * select(2, budget_of(o))[row] / o.bins:mean(o.projected)[2]
  if not (math.abs(got - want) <= 0.5001e-4) then -- luacheck: ignore
    error(string.format("%s: %.12f is not %.4f", what, got, want))
  end
end
percent("0.5 degree at 20", { vane_u = 0.5 }, "u_dir", 0.3176)
percent("0.5 degree at 20", { direction_u = 0.5 }, "u_theta_los", 0.3176)
local wide = los.project(speed, column.new(theta, "degree"), 1.5, 266)
percent("0.5 degree at 40", { vane_u = 0.5, off = off + { 20, "degree" }, projected = wide, measured = wide,
  bins = bin.by(wide, { width = 0.5, lowest = 7, highest = 7.5, at_least = 3 }) }, "u_dir", 0.7323)
for height_u, want in pairs{ [0.1] = 0.2247, [0.05] = 0.1124, [0.5] = 1.1236 } do
  percent("height", { height_u = height_u }, "u_vert_pos", want)
end
print(string.format("%.9f %.9f", angle.cos(1.5), angle.cos(2)))
--> 0.999657325 0.999390827
-- flow inclination 2 degrees, tilt 1.5: 0.0914 % of V as a bound, a rectangle's half width
records.inclination = 2
print(string.format("%.4f", 100 * select(2, budget_of(records)).u_inc * math.sqrt(3) / 10))
--> 0.0914
