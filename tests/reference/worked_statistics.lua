-- Worked numbers of regression, dependent records, distributions and NIST's data sets:
--   windassay script worked_statistics.lua --data thermometer=gum/H3_thermometer.csv
--       --data pearson=gum/pearson_york.csv --data norris=nist/Norris.csv --data noint1=nist/NoInt1.csv
--       --data mavro=nist/Mavro.csv --data michelso=nist/Michelso.csv --data lew=nist/Lew.csv
--       --data lottery=nist/Lottery.csv
-- Certified: NIST StRD (public domain, seen as carried by a numerical library's tests). Computed: R 4.2.2,
-- for the notes on published practice that this project follows; 15 digits where they give as many.
local dependent = require "practice.dependent"
local count, wrong = 0, {}
local function close(what, found, right, relative)
  count = count + 1
  if not (math.abs(found - right) <= relative * math.abs(right)) then -- luacheck: ignore (false for NaN)
    wrong[#wrong + 1] = string.format("%s: found %.17g, right is %.15g", what, found, right)
  end
end
-- Equal when both are rounded to n decimals.
local function decimals(what, found, right, n)
  count = count + 1
  if not (math.abs(found - right) <= 0.50001 * 10.0 ^ -n) then -- luacheck: ignore (false for NaN)
    wrong[#wrong + 1] = string.format("%s: found %.17g, right is %.15g", what, found, right)
  end
end

-- 5.2: JCGM 100:2008 H.3, correction of a thermometer at 30 degC: as printed (recalled), and by 40-digit arithmetic
local thermometer = fit.line(data.thermometer.t_C - 20, data.thermometer.b_C)
local value, u = thermometer.predict(10)
local r = thermometer.covariance / (thermometer.slope_u * thermometer.intercept_u)
for _, q in ipairs{
  { "y1", thermometer.intercept, -0.1712, 4, -0.17120379013134998 },
  { "u(y1)", thermometer.intercept_u, 0.0029, 4, 0.0028775978351599537 },
  { "y2", thermometer.slope, 0.00218, 5, 0.002182697739887278 },
  { "u(y2)", thermometer.slope_u, 0.00067, 5, 0.0006679387732278317 },
  { "r(y1,y2)", r, -0.930, 3, -0.9304296030934459 }, { "s", thermometer.residual_sd, 0.0035, 4, 0.003497563963505284 },
  { "b(30)", value, -0.1494, 4, -0.1493768127324772 }, { "u(b(30))", u, 0.0041, 4, 0.004138595752854948 } } do
  decimals("H.3 " .. q[1] .. ", printed", q[2], q[3], q[4])
  close("H.3 " .. q[1], q[2], q[5], 1e-12)
end
decimals("H.3 without the correlation", math.sqrt(thermometer.intercept_u ^ 2 + (10 * thermometer.slope_u) ^ 2),
  0.0072728804, 10)

-- 6.1, 8.1: no intercept (certified; the centred and Pearson's coefficient computed)
local f = fit.through_origin(data.noint1.x, data.noint1.y)
close("NoInt1 b", f.slope, 2.07438016528926, 2e-15)
close("NoInt1 se", f.slope_u, 0.0165289256198347, 5e-15)
close("NoInt1 s", f.residual_sd, 3.56753034006338, 2e-15)
close("NoInt1 R2, uncentred", f.r2_uncentred, 0.999365492298663, 2e-15)
decimals("NoInt1 R2, centred", f.r2_centred, -0.157024793, 9)
close("NoInt1 r2", f.r2_pearson, 1, 1e-15)
local y = data.noint1.y
local whole = (y * y):sum()
local rest = f.residual_sd ^ 2 * f.dof
close("NoInt1 SSres", rest, 127.272727272727, 1e-14)
close("NoInt1 SSreg", whole - rest, 200457.727272727, 1e-14)
close("NoInt1 F", (f.slope / f.slope_u) ^ 2, 15750.25, 1e-14)
f = fit.through_origin(column.new{ 4, 5, 6 }, column.new{ 3, 4, 4 })
close("NoInt2 b", f.slope, 0.727272727272727, 1e-15)
close("NoInt2 se", f.slope_u, 0.0420827318078432, 2e-15)
close("NoInt2 s", f.residual_sd, 0.369274472937998, 2e-15)
close("NoInt2 R2, uncentred", f.r2_uncentred, 0.993348115299335, 2e-15)
decimals("NoInt2 R2, centred", f.r2_centred, 0.590909091, 9)
close("NoInt2 r2", f.r2_pearson, 0.75, 1e-15)
close("NoInt2 SSres", f.residual_sd ^ 2 * f.dof, 0.272727272727273, 2e-15)
close("NoInt2 F", (f.slope / f.slope_u) ^ 2, 298.6666666666667, 5e-15)

-- 6.2, 8.1: Norris (certified; through the origin computed)
local norris = data.norris
local line = fit.line(norris.x, norris.y)
close("Norris b0", line.intercept, -0.262323073774029, 2e-14)
close("Norris se(b0)", line.intercept_u, 0.232818234301152, 1e-13)
close("Norris b1", line.slope, 1.00211681802045, 5e-15)
close("Norris se(b1)", line.slope_u, 0.000429796848199937, 1e-13)
close("Norris s", line.residual_sd, 0.884796396144373, 1e-13)
close("Norris R2", line.r2_pearson, 0.999993745883712, 2e-15)
close("Norris F", (line.slope / line.slope_u) ^ 2, 5436385.54079785, 2e-13)
close("Norris through the origin", fit.through_origin(norris.x, norris.y).slope, 1.00174208046979, 5e-15)

-- 6.3 to 6.5: Pearson's ten points (1901, seen quoted), York's weights (Am. J. Phys. 72, 367, 2004, seen quoted)
local p = data.pearson
line = fit.line(p.x, p.y)
decimals("OLS intercept", line.intercept, 5.76118519, 8)
decimals("OLS slope", line.slope, -0.539577275, 9)
decimals("OLS se(intercept)", line.intercept_u, 0.189485, 6)
decimals("OLS se(slope)", line.slope_u, 0.0421265, 7)
decimals("OLS R2", line.r2_pearson, 0.9535039, 7)
for ratio, right in pairs{ [1] = { 5.78404377, -0.54556120 }, [4] = { 5.76802567, -0.54136798 },
                           [0.25] = { 5.81591540, -0.55390456 } } do
  local d = fit.deming(p.x, p.y, { ratio = ratio })
  decimals("Deming intercept " .. ratio, d.intercept, right[1], 8)
  decimals("Deming slope " .. ratio, d.slope, right[2], 8)
end
-- no primitive of its own: the geometric mean regression is a ratio of two standard deviations
decimals("GMR slope", -p.y:sd() / p.x:sd(), -0.55257651, 8)
decimals("through the origin", fit.through_origin(p.x, p.y).slope, 0.54819098, 8)
local york = fit.york(p.x, p.y, { u_x = p.weight_x ^ -0.5, u_y = p.weight_y ^ -0.5 })
decimals("York a", york.intercept, 5.47991022403, 11)
decimals("York b", york.slope, -0.48053340745, 11)
decimals("York se(a)", york.intercept_u, 0.294970735, 9)
decimals("York se(b)", york.slope_u, 0.057985009, 9)
decimals("York S", york.chi2, 11.8663532, 7)
decimals("York S/8", york.chi2 / york.dof, 1.48329415, 8)
decimals("York scaled se(a)", york.intercept_u * math.sqrt(york.chi2 / 8), 0.35924652, 8)
decimals("York scaled se(b)", york.slope_u * math.sqrt(york.chi2 / 8), 0.07062027, 8)
decimals("orthogonal slope, as printed in 1901", fit.deming(p.x, p.y, { ratio = 1 }).slope, -0.546, 3)
decimals("York cov(a,b)", york.covariance, -0.016472545, 9)
local sen = fit.theil_sen(p.x, p.y)
decimals("Theil-Sen slope", sen.slope, -0.535714286, 9)
decimals("Theil-Sen intercept", sen.intercept, 5.882142857, 9)
decimals("Theil-Sen, other intercept", p.y:median() - sen.slope * p.x:median(), 5.6625, 9)

-- 6.6: attenuation, sd 3 and u_x 0.1; every point twice, 0.1 to either side: 36 / 36.04
local blurred = fit.line(column.new{ 2.9, 3.1, -2.9, -3.1 }, column.new{ 3, 3, -3, -3 })
close("attenuation", blurred.slope, 36 / 36.04, 1e-15)
decimals("attenuation, %", 100 * (blurred.slope - 1), -0.1, 1)

-- 6.7: effective numbers, Newey-West, batches (computed)
decimals("n_eff .8", dependent.effective(1080, 0.8), 120, 9)
decimals("n_eff .5", dependent.effective(1000, 0.5), 333.33, 2)
for name, right in pairs{ mavro = { 1.600, 3 }, michelso = { 30.276, 3 }, lew = { 377.45, 2 },
                          lottery = { 277.99, 2 } } do
  local c = data[name].y
  local free = dependent.effective(c:count(), c:autocorrelation(1))
  decimals("n_eff " .. name, free, right[1], right[2])
  close("capped " .. name, c:effective_count(), math.min(free, c:count()), 1e-14)
end
local mavro = data.mavro.y
decimals("Newey-West", dependent.newey_west(mavro, 7), 0.00014923866, 11)
decimals("independent", dependent.newey_west(mavro, 0) * math.sqrt(50 / 49), 0.00006068722, 11)
decimals("batches of 10", dependent.batches(mavro, 10), 0.00018954155, 11)
close("slope factor, by hand", dependent.slope_factor(0.8, 0.5), math.sqrt(1.4 / 0.6), 1e-15)

-- 8.2: univariate sets (certified). 0.1 and 0.3 beside 1e7 are not exact in binary: 1e-8 for NumAcc4.
local function numacc(first, one, other)
  local list = { first }
  for i = 1, 1000 do list[i + 1] = i % 2 == 1 and one or other end
  return column.new(list)
end
local sets = {
  { "NumAcc1", column.new{ 10000001, 10000003, 10000002 }, 10000002, 1, -0.5, 1e-15 },
  { "NumAcc2", numacc(1.2, 1.1, 1.3), 1.2, 0.1, -0.999, 1e-13 },
  { "NumAcc3", numacc(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, -0.999, 2e-9 },
  { "NumAcc4", numacc(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, -0.999, 1e-8 },
  { "Mavro", mavro, 2.00185600000000, 0.000429123454003053, 0.937989183438248, 2e-12 },
  { "Michelso", data.michelso.y, 299.852400000000, 0.0790105478190518, 0.535199668621263, 1e-12 },
  { "Lew", data.lew.y, -177.435000000000, 277.332168044316, -0.307304800605679, 1e-14 },
  { "Lottery", data.lottery.y, 518.958715596330, 291.699727470969, -0.120948622967393, 1e-14 },
}
for _, s in ipairs(sets) do
  close(s[1] .. " mean", s[2]:mean(), s[3], 1e-14)
  close(s[1] .. " s", s[2]:sd(), s[4], s[6])
  close(s[1] .. " r1", s[2]:autocorrelation(1), s[5], math.max(s[6], 1e-12))
end
local lew = data.lew.y
close("Lew min", lew:min(), -579, 0)
close("Lew max", lew:max(), 300, 0)
close("Lew sum", lew:sum(), -35487, 0)
close("sizes", lew:count() + data.lottery.y:count() + mavro:count() + data.michelso.y:count(), 568, 0)

-- 8.3: quantiles (computed in R)
local PROBABILITIES = { 0.95, 0.975, 0.97725, 0.995, 0.99865 }
local STUDENT = {
  [1] = { 6.314, 12.706, 13.968, 63.657, 235.784 }, [2] = { 2.920, 4.303, 4.527, 9.925, 19.206 },
  [3] = { 2.353, 3.182, 3.307, 5.841, 9.219 }, [4] = { 2.132, 2.776, 2.869, 4.604, 6.620 },
  [5] = { 2.015, 2.571, 2.649, 4.032, 5.507 }, [6] = { 1.943, 2.447, 2.517, 3.707, 4.904 },
  [7] = { 1.895, 2.365, 2.429, 3.499, 4.530 }, [8] = { 1.860, 2.306, 2.366, 3.355, 4.277 },
  [9] = { 1.833, 2.262, 2.320, 3.250, 4.094 }, [10] = { 1.812, 2.228, 2.284, 3.169, 3.957 },
  [12] = { 1.782, 2.179, 2.231, 3.055, 3.764 }, [15] = { 1.753, 2.131, 2.181, 2.947, 3.586 },
  [16] = { 1.746, 2.120, 2.169, 2.921, 3.544 }, [20] = { 1.725, 2.086, 2.133, 2.845, 3.422 },
  [25] = { 1.708, 2.060, 2.105, 2.787, 3.330 }, [30] = { 1.697, 2.042, 2.087, 2.750, 3.270 },
  [50] = { 1.676, 2.009, 2.051, 2.678, 3.157 }, [100] = { 1.660, 1.984, 2.025, 2.626, 3.077 },
  [math.huge] = { 1.645, 1.960, 2.000, 2.576, 3.000 },
}
for dof, row in pairs(STUDENT) do
  for i, prob in ipairs(PROBABILITIES) do
    decimals("t(" .. prob .. ", " .. dof .. ")", quantile.t(prob, dof), row[i], 3)
  end
end
for i, prob in ipairs(PROBABILITIES) do
  decimals("normal " .. prob, quantile.normal(prob), STUDENT[math.huge][i], 3)
end
decimals("chi2(10) .025", quantile.chi2(0.025, 10), 3.246973, 6)
decimals("chi2(10) .975", quantile.chi2(0.975, 10), 20.483177, 6)
decimals("F.95(5,100)", quantile.f(0.95, 5, 100), 2.305318, 6)
-- 5.1, JCGM 100 table G.2 (seen)
for _, g in ipairs{ { 0.975, 16, 2.12 }, { 0.97725, 16, 2.17 }, { 0.995, 16, 2.92 }, { 0.97725, math.huge, 2.00 } } do
  decimals("table G.2 " .. g[1], quantile.t(g[1], g[2]), g[3], 2)
end

if #wrong > 0 then error(table.concat(wrong, "\n")) end
report:value("numbers that agree", count)
