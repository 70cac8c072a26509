-- Worked examples of metrology and statistics:
--   windassay script worked.lua --data thermometer=gum/H3_thermometer.csv --data pearson=gum/pearson_york.csv
local function close(what, found, right, relative)
  local good = math.abs(found - right) <= relative * math.abs(right) -- false for NaN
  if not good then
    error(string.format("%s: found %.17g, right is %.17g", what, found, right))
  end
end

-- JCGM 100:2008 H.3, correction of a thermometer at 30 degC (printed: -0.1494, u 0.0041), by 60-digit arithmetic
local t, b = data.thermometer.t_C, data.thermometer.b_C
local f = fit.line(t - 20, b)
close("H.3 y1", f.intercept, -0.17120379013134998, 1e-13)
close("H.3 y2", f.slope, 0.002182697739887278, 1e-12)
close("H.3 u(y1)", f.intercept_u, 0.0028775978351599537, 1e-12)
close("H.3 u(y2)", f.slope_u, 0.0006679387732278317, 1e-12)
local value, u = f.predict(10)
close("H.3 b(30)", value, -0.1493768127324772, 1e-13)
close("H.3 u(b(30))", u, 0.004138595752854948, 1e-12)

-- Pearson's points with York's weights: York et al., Am. J. Phys. 72, 367 (2004), table II (seen quoted)
local p = data.pearson
local york = fit.york(p.x, p.y, { u_x = p.weight_x ^ -0.5, u_y = p.weight_y ^ -0.5 })
close("York intercept", york.intercept, 5.47991022403, 1e-11)
close("York slope", york.slope, -0.48053340745, 1e-10)
close("York u(intercept)", york.intercept_u, 0.29497, 1e-5)
close("York u(slope)", york.slope_u, 0.057985, 1e-5)
close("York chi2", york.chi2, 11.866, 1e-4)

-- the same points: R 4.2 for the line and the median slope, Pearson 1901 for the orthogonal line
local line, deming, sen = fit.line(p.x, p.y), fit.deming(p.x, p.y, { ratio = 1 }), fit.theil_sen(p.x, p.y)
close("line intercept", line.intercept, 5.76118519, 1e-9)
close("line slope", line.slope, -0.539577275, 1e-9)
close("line u(intercept)", line.intercept_u, 0.189485, 1e-5)
close("line r2", line.r2_pearson, 0.9535039, 1e-7)
close("orthogonal slope", deming.slope, -0.54556120, 1e-8)
close("orthogonal slope, 1901", deming.slope, -0.546, 1e-3)
close("median slope", sen.slope, -0.535714286, 1e-9)
close("median intercept", sen.intercept, 5.882142857, 1e-9)

-- the coarse line-of-sight direction of 16 records: R 4.2
local v = column.new{ 4.74, 5.32, 6.22, 6.64, 7.70, 7.97, 9.15, 9.33, 10.59, 10.70, 12.00, 12.10, 13.39,
  13.53, 14.76, 14.97 }
local d = column.new({ 322.7, 279.1, 255.6, 305.3, 315.9, 263.5, 266.4, 318.1, 301.9, 254.4, 282.8, 323.0, 284.2, 254.0,
  300.6, 318.8 }, "degree")
local los = column.new{ 3.921, 5.344, 5.361, 6.366, 6.781, 7.285, 8.546, 8.038, 10.317, 9.068, 12.080, 9.925, 13.451,
  11.337, 14.400, 12.799 }
local cosine = fit.cosine(d, los / v)
close("direction", cosine.direction, 287.3350506, 2e-10)
close("amplitude", cosine.amplitude, 1.006510356, 5e-10)
report:value("worked examples that agree", 5)
