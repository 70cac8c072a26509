-- Budgets. Worked numbers: practice.md 1.4, 2.7 (IEC 61400-50-2 and -50-3 practice, recalled; numbers
-- computed in R); JCGM 100:2008, H.1 (recalled).
local function near(got, want, within)
  assert(math.abs(got - want) <= within, tostring(got) .. " is not " .. tostring(want))
end

-- 1.4: one bin of a remote sensing device against a mast
local V = 10
local diff = column.new({ 0.06, 0.04, 0.01, 0.09, 0.02, 0.03 }, "m/s")
local class = (0.05 + 0.005 * V) * 1.2 / math.sqrt(3)
local b = budget.new(1, { unit = "m/s" })
b:add("cup calibration", { 0.05, "m/s" }, { kind = "B", source = "certificate" })
b:add("cup class", class)
b:add("cup mounting", { 0.5, "%" }, { sensitivity = { V, "m/s" } })
b:add("data acquisition", 0.01)
b:add("mean deviation", math.abs(diff:mean()))
b:add("scatter", diff:sd() / math.sqrt(6), { kind = "A", dof = 5 })
b:add("unit mounting", 0.01)
b:add("flow", 0.005 * V)
near(b:combined(), 0.11991200, 5e-9)
near(b:expanded(2), 0.239824, 5e-7)
near(b:at(1).u, b:combined(), 0)
assert(b:dof() > 40000 and b:at(1).dof == b:dof())
near(b:expanded{ probability = 0.95 } / b:combined(), 1.96, 0.0001)
report:table("one bin", b:table())
--~ {"name":"one bin","columns":[{"name":"component"},{"name":"type"},{"name":"distribution"},{"name":"uncertainty","unit":"m s-1"},{"name":"degrees of freedom","unit":"1"},{"name":"group"},{"name":"source"}],"rows":[["cup calibration","B","normal",0.05,null,null,"certificate"]
--~ ["scatter","A","normal",0.01194896
--~ ["expanded uncertainty (k = 2)",null,null,0.2398240

-- a budget's result is a whole uncertainty
report:require("deviation", diff:mean(), { u = b, unit = "m/s" })
report:value("deviation", diff:mean(), { u = b })
--~ "requirements":[{"name":"deviation","value":0.041666666666666664,"unit":"m/s","u":0.11991200477387112,"dof":50710.6787385123,"source":"uncertainty budget, 8 components"}

-- 2.7: a line-of-sight speed
local phi, dth, radian = 1.5, 20, math.pi / 180
local cosines = angle.cos(phi) * angle.cos(dth)
local cup = budget.new(1, { unit = "m/s" })
cup:add("cup calibration", 0.05, { group = "cup calibration" }):add("cup class", class, { group = "cup class" })
cup:add("cup mounting", 0.05):add("data acquisition", 0.01)
near(cup:combined(), 0.099498744, 5e-10)
local los = budget.new(1, { unit = "m/s" })
los:include(cup, { sensitivity = cosines })
near(los:combined(), 0.093466196, 5e-10)
los:add("tilt", 0.05 * radian, { sensitivity = -V * angle.sin(phi) * angle.cos(dth) })
near(los:at(1).u, math.sqrt(0.093466196 ^ 2 + 0.000214661 ^ 2), 1e-9)
local across = V * angle.cos(phi) * angle.sin(dth) * radian
los:add("vane", 0.4, { sensitivity = -across })
los:add("line of sight", 0.1, { sensitivity = across })
los:add("height", 0.1, { sensitivity = 0.2 * V * cosines / 8.9 })
near(los:combined(), 0.098928958, 5e-10)
los:add("scatter", 0.12 / math.sqrt(60), { kind = "A", dof = 59 })
near(los:combined(), 0.100134603, 5e-10)
near(los:expanded(2), 0.200269206, 1e-9)
near(100 * los:expanded(2) / (V * cosines), 2.131950936, 1e-8)

-- groups: linear with their signs, then in quadrature
local g = budget.new()
g:add("a", 3, { group = "x" }):add("b", 4, { group = "x" }):add("c", 24)
near(g:combined(), 25, 0)
g:add("d", 7, { group = "x", sensitivity = -1 })
near(g:combined(), 24, 0)

-- shapes, and U with its k
for shape, divisor in pairs({ normal = 1, rectangular = math.sqrt(3), triangular = math.sqrt(6), u_shaped = math.sqrt(2) }) do
  near(budget.new():add("x", 0.1, { shape = shape }):combined(), 0.1 / divisor, 1e-17)
end
near(budget.new():add("x", 0.1, { k = 2 }):combined(), 0.05, 0)
local U = quantity.new{ U = 0.1, k = 2, unit = "m/s", dof = 50 }
near(budget.new():add("x", U):combined(), 0.05, 0)
near(budget.new():add("x", U):dof(), 50, 1e-12)
assert(U.dof == 50 and U.U == 0.1 and U.u == 0.05 and U.unit == "m s-1")
near(U:expanded(3), 0.15, 1e-16)
near(quantity.new{ value = 1, half_width = 3, shape = "rectangular" }.u, math.sqrt(3), 1e-15)

-- GUM H.1, table H.1, in nm: nu_eff 16.656, t99(16) = 2.9208, U99 = 92.6
local h = budget.new(1, { unit = "nm" })
h:add("standard", 25, { dof = 18 }):add("comparison", 9.7, { dof = 25.6 })
h:add("expansion", 2.900, { dof = 50 }):add("temperature", 16.675, { dof = 2 })
near(h:combined(), 31.71, 0.005)
near(h:dof(), 16.656, 0.005)
near(h:expanded{ probability = 0.99 }, 92.6, 0.05)

-- per bin, and over bins
local v = column.new({ 6, 6, 8, 8, 10, 10, 12 }, "m/s")
local bins = bin.by(v, { width = 2, lowest = 6, highest = 12, at_least = 2 })
local per = budget.new(bins)
local centre = bins:mean(v) -- missing where the bin is incomplete
per:add("cup", 0.01 * centre, { group = "cup", source = "certificate" })
per:add("scatter", column.new({ 0.03, 0.04, 0.12, 0.1 }, "m/s"), { kind = "A", dof = column.new({ 9, 9, 9, 9 }) })
local u = per:combined()
near(u[1], math.sqrt(0.06 ^ 2 + 0.03 ^ 2), 1e-16)
assert(u[4] == missing and per:dof()[4] == missing and per:expanded(2)[2] == 2 * u[2])
local whole = per:overall{ weights = column.new({ 1, 1, 2, 1 }) }
near(whole.u, math.sqrt(0.085 ^ 2 + (0.03 ^ 2 + 0.04 ^ 2 + 0.24 ^ 2) / 16), 1e-15)
assert(whole.bins == 3 and whole.left_out == 1 and whole.components[1].name == "cup")
local gain = per:overall{ relative_to = bins.centre }
near(gain.u, math.sqrt(0.01 ^ 2 + (0.005 ^ 2 + 0.005 ^ 2 + 0.012 ^ 2) / 9), 1e-15)
assert(gain.unit == "1")
report:require("gain", 1.004, { u = gain })
report:table("by bin", per:table())
--~ {"name":"by bin","columns":[{"name":"centre","unit":"m s-1"},{"name":"cup","unit":"m s-1"},{"name":"scatter","unit":"m s-1"},{"name":"combined","unit":"m s-1"},{"name":"expanded (k = 2)","unit":"m s-1"}]
report:table("components", per:components())
--~ "rows":[["cup","B","normal","cup","certificate"],["scatter","A","normal",null,null]]
--~ {"name":"gain","value":1.004,"unit":"1","u":0.01102522

-- components as a list, as an instrument gives them
local from_list = budget.new(bins):include({ { name = "cup", u = 0.01 * centre, group = "cup", evidence = "seen" } }, { sensitivity = 2 })
near(from_list:combined()[2], 0.16, 1e-16)

local function refused(f, ...) print(select(2, pcall(f, ...)).message) end
refused(b.add, b, "Cup_Calibration", 0.1)
refused(b.add, b, "x", -0.1)
refused(b.add, b, "x", { 0.1, "degree" })
refused(b.add, b, "x", column.new({ 1, 2 }, "m/s"))
refused(b.add, b, "x", 0.1, { shape = "square" })
refused(b.add, b, "x", 0.1, { kind = "C" })
refused(b.add, b, "x", 0.1, { grup = "y" })
refused(b.add, b, "x", U, { k = 2 })
refused(b.add, b, "x", 0.1, { dof = 0 })
refused(b.add, b, "x", cup)
refused(b.include, b, b)
refused(los.include, los, cup)
refused(budget.new().combined, budget.new())
refused(report.require, report, "speed", 8, { u = per, unit = "m/s" })
refused(report.require, report, "speed", 8, { u = gain, unit = "m/s" })
refused(report.require, report, "speed", 8, { u = U, unit = "m/s" })
refused(per.at, per, 4)
refused(quantity.new, { U = 0.1 })
refused(quantity.new, { u = 0.1, k = 2 })
refused(quantity.new, { value = 1 })
refused(quantity.new, { half_width = 1 })
refused(function() return U.value end)
--> component 'Cup_Calibration' is in the budget already, as 'cup calibration'
--> component 'x': uncertainty is -0.1, below 0
--> component 'x' is in 'degree', the budget in 'm s-1'
--> component 'x': 2 values of uncertainty for 1 bins
--> component 'x': no shape 'square'
--> component 'x': no kind 'C'
--> add: unknown option 'grup'
--> component 'x': a quantity knows its k; its u is standard already
--> component 'x': degrees of freedom is 0, below 1
--> component 'x': a budget is not one component
--> include: a budget cannot hold itself
--> component 'cup calibration' is in the budget already
--> the budget has no components
--> a budget of 4 bins, where one uncertainty is needed
--> report:require: 'speed': the uncertainty is in '1', the value in 'm/s'
--> report:require: 'speed': a decision needs the whole uncertainty
--> a component of the budget is missing
--> quantity.new: an expanded uncertainty U needs its k
--> quantity.new: k goes with U
--> quantity.new: needs one statement of its uncertainty
--> quantity.new: a half width needs its shape
--> value is not defined: it was made without one
