-- Worked numbers of the practice of lidar acceptance that no other test holds (which one holds which:
-- worked_numbers.md): windassay script worked_practice.lua
-- Computed in R 4.2.2 for the notes on published practice that this project follows, from the formulas that
-- the practice files name; sources of their own are said beside them.
local control, doppler = require "practice.control", require "practice.doppler"
local repeatability, instruments = require "practice.repeatability", require "practice.instruments"
local count, wrong = 0, {}
-- Equal when both are rounded to n decimals.
local function decimals(what, found, right, n)
  count = count + 1
  if not (math.abs(found - right) <= 0.50001 * 10.0 ^ -n) then -- luacheck: ignore (false for NaN)
    wrong[#wrong + 1] = string.format("%s: found %.17g, right is %.15g", what, found, right)
  end
end

-- 1.4: a bin of six pairs (the budget on top of it: tests/scripts/budget.lua)
local ref = column.new({ 9.80, 9.95, 10.05, 10.10, 10.20, 9.90 }, "m/s")
local unit = column.new({ 9.86, 9.99, 10.06, 10.19, 10.22, 9.93 }, "m/s")
local b = compare.by_bin(unit, ref, { width = 0.5, lowest = 10, highest = 10, at_least = 3 })
decimals("Vref", b.reference_mean[1], 10.0000, 7)
decimals("Vrsd", b.measured_mean[1], 10.0416667, 7)
decimals("D", b.deviation_mean[1], 0.0416667, 7)
decimals("D, %", b.relative_deviation:to("%")[1], 0.416667, 6)
decimals("s", b.deviation_sd[1], 0.02926887, 8)
decimals("s/sqrt(6)", b.standard_error[1], 0.01194897, 8)
decimals("u_ver, %", 100 * 0.11991200 / b.reference_mean[1], 1.199120, 6)
decimals("u_ope", instruments.operational("1.2A", b.reference_mean)[1], 0.06928203, 8)

-- 2.9: residuals of the four beams without shear; correlation 0.9 (0 and 1: tests/scripts/reconstruct.lua)
local four = { { azimuth = 15, elevation = 5 }, { azimuth = -15, elevation = 5 }, { azimuth = 15, elevation = -5 },
               { azimuth = -15, elevation = -5 } }
local seen = { 9.9, 9.3, 9.4, 8.9 }
local w = reconstruct.wind(four, seen, { frame = "nacelle", model = "uv" })
for i, right in ipairs{ 0.25, 0.2, -0.25, -0.2 } do
  local across = four[i].azimuth
  local fitted = angle.cos(5) * (w.u[1] * angle.cos(across) + w.v[1] * angle.sin(across))
  decimals("residual " .. i, seen[i] - fitted, right, 3)
end
-- 2.9: the four beams with shear by Gauss and Newton from (9.6, 1, 0.1): the sixth step is the first below 1e-12
local function rows_at(u, v, alpha)
  local f, fx, fy, fa = {}, {}, {}, {}
  for i, z in ipairs{ 107.4, 107.4, 72.6, 72.6 } do
    local shear = (z / 90) ^ alpha
    fx[i] = shear * angle.cos(5) * angle.cos(four[i].azimuth)
    fy[i] = shear * angle.cos(5) * angle.sin(four[i].azimuth)
    f[i] = u * fx[i] + v * fy[i]
    fa[i] = f[i] * column.new{ z / 90 }:log()[1]
  end
  return column.new(f), { x = column.new(fx), y = column.new(fy), alpha = column.new(fa) }
end
local ahead, left, alpha_s, iterations = 9.6, 1, 0.1, 0
local step
repeat
  local f, slopes = rows_at(ahead, left, alpha_s)
  local by = fit.least_squares(column.new(seen) - f, slopes, { intercept = false }).coefficients
  ahead, left, alpha_s, iterations = ahead + by.x, left + by.y, alpha_s + by.alpha, iterations + 1
  step = math.max(math.abs(by.x), math.abs(by.y), math.abs(by.alpha))
until step < 1e-12
local off = column.new(seen) - rows_at(ahead, left, alpha_s)
decimals("iterations", iterations, 6, 0)
decimals("u with shear", ahead, 9.762780803, 9)
decimals("v with shear", left, 1.070485061, 9)
decimals("alpha_s", alpha_s, 0.1228935068, 10)
decimals("residual SS", (off * off):sum(), 0.001352293091, 12)

local own, common = 0.1 * math.sqrt(0.1), 0.1 * math.sqrt(0.9)
local two = { { azimuth = 15, elevation = 0 }, { azimuth = -15, elevation = 0 } }
w = reconstruct.wind(two, { 9.8, 9.2 }, { frame = "nacelle", u = own, u_common = common })
decimals("u_V, rho 0.9", w.speed_u[1], 0.1007215714, 10)
decimals("u_gamma, rho 0.9", w.direction_u[1], 0.501091200, 9)

-- 4.3: directions (Mardia and Jupp 2000, ex. 1.1: 51 degrees, 0.711, median 52 seen in public test suites)
local d = column.new({ 43, 45, 52, 61, 75, 88, 88, 279, 357 }, "degree")
decimals("C", angle.cos(d):mean(), 0.4469570685, 10)
decimals("S", angle.sin(d):mean(), 0.5529354206, 10)
decimals("R", circular.resultant(d), 0.7109909989, 10)
decimals("mean", circular.mean(d), 51.05017711, 8)
decimals("Mardia sd", circular.sd(d), 47.32336639, 8)
decimals("Yamartino", circular.yamartino_sd(d), 47.08813076, 8)
decimals("angular deviation", circular.angular_deviation(d), 43.56054601, 8)
decimals("arithmetic mean, wrong by design", d:mean(), 120.8889, 4)
decimals("median about the mean", 51.05017711 + circular.difference(d, 51.05017711):median(), 52, 8)
d = column.new({ 350, 10 }, "degree")
decimals("350 10", circular.mean(d), 0, 12)
decimals("350 10 R", circular.resultant(d), 0.9848077530, 10)
decimals("350 10 Mardia", circular.sd(d), 10.02556025, 8)
decimals("350 10 Yamartino", circular.yamartino_sd(d), 10.00810033, 8)
d = column.new({ 355, 5, 2, 359, 10, 350 }, "degree")
decimals("355 ... mean", circular.mean(d), 0.1676901464, 10)
decimals("355 ... R", circular.resultant(d), 0.9935448260, 10)
d = column.new({ 20, 21, 22, 18, 19, 20.5, 19.2 }, "degree")
decimals("20 ... mean", circular.mean(d), 19.95713552, 8)
decimals("a quarter each, Yamartino", circular.yamartino_sd(column.new({ 0, 90, 180, 270 }, "degree")), 103.923048, 6)

-- 5.2: JCGM 100:2008 H.1 (inputs seen in a public test, printed results recalled, 40 digits by mpmath)
local difference = budget.new(1, { unit = "nm" })
difference:add("comparison", 5.8, { dof = 24 }):add("random, comparator", 3.9, { dof = 5 })
difference:add("systematic, comparator", 6.7, { dof = 8 })
decimals("u(d), printed", difference:combined(), 9.7, 1)
decimals("u(d)", difference:combined(), 9.681941953967707, 14)
decimals("nu(d)", difference:dof(), 25.44725077736272, 12)
local theta = budget.new():add("mean", 0.2):add("cycle", 0.5, { shape = "u_shaped" })
decimals("u(theta), printed", theta:combined(), 0.41, 2)
decimals("u(theta)", theta:combined(), 0.406201920231798, 15)
local ls, length = 50000623, budget.new(1, { unit = "nm" })
length:add("standard", 25, { dof = 18 }):include(difference)
length:add("expansion", 1e-6, { shape = "rectangular", dof = 50, sensitivity = -ls * -0.1 })
length:add("temperature", 0.05, { shape = "rectangular", dof = 2, sensitivity = -ls * 11.5e-6 })
decimals("u_c", length:combined(), 31.663879111008633, 13)
decimals("u_c, printed", length:combined(), 32, 0)
decimals("t99, printed", quantile.t(0.995, 16), 2.92, 2)
decimals("t99", quantile.t(0.995, 16), 2.9207816224251, 13)
decimals("U99, printed", 32 * quantile.t(0.995, math.floor(length:dof())), 93, 0)
decimals("U99, unrounded u", length:expanded{ probability = 0.99 }, 92, 0)
-- with the second-order terms (H.1.7, printed 34): the model is bilinear, so that trials of any shape have exactly
-- that variance; 0.12 is five standard errors
local gauge = monte_carlo.propagate(function(x)
  return x.ls + x.d - x.ls * (x.dalpha * x.theta + x.alpha * x.dtheta)
end, { ls = { value = ls, u = 25 }, d = { value = 215, u = 9.681941953967707 },
       alpha = { value = 11.5e-6, half_width = 2e-6, shape = "rectangular" },
       theta = { value = -0.1, u = 0.406201920231798 },
       dalpha = { value = 0, half_width = 1e-6, shape = "rectangular" },
       dtheta = { value = 0, half_width = 0.05, shape = "rectangular" } }, { trials = 1000000, seed = 11 })
decimals("u_c with the second order, printed", gauge.u, 34, 0)
if math.abs(gauge.u - 33.80654542952218) > 0.12 then
  wrong[#wrong + 1] = "u_c with the second order: " .. gauge.u
end
-- H.2, second approach: the quantities of each reading, averaged (data recalled; they reproduce the results)
local V = column.new{ 5.007, 4.994, 5.005, 4.990, 4.999 }
local I = column.new{ 19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3 }
local phi = column.new{ 1.0456, 1.0438, 1.0468, 1.0428, 1.0433 } * (180 / math.pi) * { 1, "degree" }
local Z = V / I
for _, q in ipairs{ { "R", Z * angle.cos(phi), 127.73163, 0.0712735, 127.732, 0.071 },
                    { "X", Z * angle.sin(phi), 219.84689, 0.2954891, 219.847, 0.295 },
                    { "Z", Z, 254.26005, 0.2362475, 254.260, 0.236 } } do
  decimals(q[1], q[2]:mean(), q[3], 5)
  decimals("u(" .. q[1] .. ")", q[2]:sd() / math.sqrt(5), q[4], 7)
  decimals(q[1] .. ", printed", q[2]:mean(), q[5], 3)
  decimals("u(" .. q[1] .. "), printed", q[2]:sd() / math.sqrt(5), q[6], 3)
end

-- 5.3: JCGM 101:2008, 9.2 (recalled): what the law of propagation gives, to be right or wrong against trials
local sum = budget.new()
for i = 1, 3 do sum:add("x" .. i, math.sqrt(3), { shape = "rectangular" }) end
local wide = budget.new():include(sum):add("x4", 10 * math.sqrt(3), { shape = "rectangular" })
sum:add("x4", math.sqrt(3), { shape = "rectangular" })
decimals("u of four", sum:combined(), 2.0, 12)
decimals("95 % of four", sum:expanded{ probability = 0.95 }, 3.92, 2)
decimals("u, one ten times as wide", wide:combined(), 10.14889, 5)
decimals("1.96 u, one ten times as wide", wide:expanded(1.96), 19.8918, 4)
local exact = 2 * math.sqrt(3) * (2 - column.new{ 3 / 5 }:sqrt():sqrt()[1])
decimals("95 % of four rectangular, exact", exact, 3.8794067, 7)
-- by trials: 17.0158141 (exact, computed), which the law's 19.89 is far from; 0.06 is five standard errors
local half = { value = 0, half_width = math.sqrt(3), shape = "rectangular" }
local trials = monte_carlo.propagate(function(a, b1, c, e) return a + b1 + c + e end,
  { half, half, half, { value = 0, half_width = 10 * math.sqrt(3), shape = "rectangular" } },
  { trials = 1000000, seed = 11 })
for i, sign in ipairs{ -1, 1 } do
  if math.abs(trials.interval[i] - sign * 17.0158141) > 0.06 then
    wrong[#wrong + 1] = "97.5 % quantile by trials: " .. trials.interval[i]
  end
end

-- 5.7: EWMA (NIST/SEMATECH e-Handbook 6.3.2.4; limits seen, data recalled); F; E_n (ISO 17043, recalled)
local values = { 52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6,
                 52.4, 53.6, 52.1 }
local rows, lower, upper = control.ewma(values, { target = 50, s = 2.0539, lambda = 0.3, k = 3 })
decimals("EWMA upper", upper, 52.5884317, 4)
decimals("EWMA lower", lower, 47.4115683, 4)
for i, z in ipairs{ 50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05,
                    49.38, 49.92, 50.73, 51.23, 51.94, 51.99 } do
  decimals("EWMA " .. i, rows[i].z, z, 2)
  if not rows[i].inside then wrong[#wrong + 1] = "EWMA: " .. i .. " is in control" end
end
rows = control.ewma({ 54, 54 }, { target = 50, s = 1, lambda = 0.5, k = 2, exact = true }) -- by hand
decimals("EWMA, exact limit 1", rows[1].upper, 50 + 2 * 0.5, 12)
decimals("EWMA, exact limit 2", rows[2].upper, 50 + 2 * math.sqrt(0.3125), 12)
if rows[1].inside then wrong[#wrong + 1] = "EWMA: 52 is beyond 51" end
decimals("F.95(5,100)", control.short_term_limit(1, 100, 5, 0.05) ^ 2, 2.305318, 6)
-- the interval of a standard deviation of ten degrees of freedom, by 8.3's chi2(10)
local low_s, high_s = control.interval_of_s(1, 10)
decimals("chi2(10) .975", 10 / low_s ^ 2, 20.483177, 6)
decimals("chi2(10) .025", 10 / high_s ^ 2, 3.246973, 6)
decimals("F.99(5,100)", control.short_term_limit(1, 100, 5, 0.01) ^ 2, 3.205872, 6)
decimals("E_n", control.e_n(1.004, 0.016, 0.998, 0.014), 0.28221626, 8)
-- Shewhart with t of 16 degrees of freedom (JCGM 100 table G.2: 2.12, seen) and with k; two periods by hand
local low, high = control.shewhart(1, 0.01, { alpha = 0.05, dof = 16 })
decimals("Shewhart, t", (high - low) / 0.02, 2.12, 2)
decimals("Shewhart, k", (control.shewhart(1, 0.01, { k = 3 })), 0.97, 12)
local t, limit, pooled = control.two_periods({ mean = 1.01, s = 0.01, n = 9 }, { mean = 1, s = 0.01, n = 9 }, 0.05)
decimals("two periods", t, 3 / math.sqrt(2), 12)
decimals("two periods, limit", limit, 2.120, 3)
decimals("two periods, s", pooled, 0.01, 12)

-- 7.1: ISO 5725-2 (formulas recalled)
local fleet = repeatability.of{ { 1.002, 1.004, 1.003 }, { 0.997, 0.999, 0.998 }, { 1.006, 1.005, 1.007 },
                                { 1.000, 1.001, 0.999 } }
decimals("mean", fleet.mean, 1.00175, 10)
decimals("s_r", fleet.s_r, 0.001, 10)
decimals("s_L", fleet.s_L, 0.00345205253, 11)
decimals("s_R", fleet.s_R, 0.003593976442, 12)
decimals("r", fleet.r, 0.0028, 10)
decimals("R", fleet.R, 0.01006313404, 11)
-- unequal, by hand: n0 = (6 - 14/6) / 2; means 2, 4.5, 6, variances 1, 0.5
local uneven = repeatability.of{ { 1, 2, 3 }, { 4, 5 }, { 6 } }
decimals("n0", uneven.n0, 11 / 6, 12)
decimals("uneven s_r", uneven.s_r, math.sqrt(2.5 / 3), 12)
decimals("uneven s_L", uneven.s_L, math.sqrt((3 * 1.5 ^ 2 + 2 + 2.5 ^ 2) / (11 / 3) - 2.5 / 3 / (11 / 6)), 12)
decimals("alike units", repeatability.of{ { 1, 3 }, { 1, 3 } }.s_L, 0, 12)

-- 8.5, 7.2: Doppler
decimals("1 m/s at 1550 nm, MHz", doppler.shift(1, 1550e-9) / 1e6, 1.290323, 6)
decimals("and back", doppler.speed(doppler.shift(7.5, 1550e-9), 1550e-9), 7.5, 12)
decimals("1 nm of 1550, %", 100 * doppler.gain_error(1550e-9, 1e-9), 0.065, 3)

-- what has no answer says so
local dependent = require "practice.dependent"
for what, try in pairs{
  ["E_n"] = function() return control.e_n(1, 0, 1, 0) end,
  ["two periods"] = function()
    local still = { mean = 1, s = 0, n = 2 }
    return control.two_periods(still, still, 0.05)
  end,
  ["one unit"] = function() return repeatability.of{ { 1, 2 } } end,
  ["no repeats"] = function() return repeatability.of{ { 1 }, { 2 } } end,
  ["one batch"] = function() return dependent.batches(column.new{ 1, 2, 3 }, 2) end,
} do
  local ok, e = pcall(try)
  count = count + 1
  if ok or e.kind ~= "undefined" then wrong[#wrong + 1] = what .. " is not undefined" end
end

if #wrong > 0 then error(table.concat(wrong, "\n")) end
report:value("numbers that agree", count)
