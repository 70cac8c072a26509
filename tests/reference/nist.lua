-- Certified regressions of NIST's Statistical Reference Datasets (itl.nist.gov/div898/strd), to their 15 digits:
--   windassay script nist.lua --data norris=nist/Norris.csv --data noint1=nist/NoInt1.csv
--                             --data longley=nist/Longley.csv
-- Norris: reading its decimals as doubles moves the intercept in the 14th digit, and uncertainties in the 13th.
local function close(what, found, right, relative)
  local good = math.abs(found - right) <= relative * math.abs(right) -- false for NaN
  if not good then
    error(string.format("%s: found %.17g, certified %.15g", what, found, right))
  end
end

local f = fit.through_origin(data.noint1.x, data.noint1.y)
close("NoInt1 slope", f.slope, 2.07438016528926, 2e-15)
close("NoInt1 slope_u", f.slope_u, 0.165289256198347E-01, 2e-15)
close("NoInt1 residual_sd", f.residual_sd, 3.56753034006338, 2e-15)
close("NoInt1 r2_uncentred", f.r2_uncentred, 0.999365492298663, 2e-15)
-- not certified, from the definition in 60 digits
close("NoInt1 r2_centred", f.r2_centred, -0.157024793388430, 5e-15)

local l = fit.line(data.norris.x, data.norris.y)
close("Norris intercept", l.intercept, -0.262323073774029, 2e-14)
close("Norris slope", l.slope, 1.00211681802045, 5e-15)
close("Norris intercept_u", l.intercept_u, 0.232818234301152, 1e-13)
close("Norris slope_u", l.slope_u, 0.429796848199937E-03, 1e-13)
close("Norris residual_sd", l.residual_sd, 0.884796396144373, 1e-13)

local d = data.longley
local m = fit.least_squares(d.y, { x1 = d.x1, x2 = d.x2, x3 = d.x3, x4 = d.x4, x5 = d.x5, x6 = d.x6 })
local certified = { intercept = { -3482258.63459582, 890420.383607373 }, x1 = { 15.0618722713733, 84.9149257747669 },
  x2 = { -0.358191792925910E-01, 0.334910077722432E-01 }, x3 = { -2.02022980381683, 0.488399681651699 },
  x4 = { -1.03322686717359, 0.214274163161675 }, x5 = { -0.511041056535807E-01, 0.226073200069370 },
  x6 = { 1829.15146461355, 455.478499142212 } }
for name, right in pairs(certified) do
  close("Longley " .. name, m.coefficients[name], right[1], 5e-15)
  close("Longley u of " .. name, m.coefficients_u[name], right[2], 5e-15)
end
close("Longley residual_sd", m.residual_sd, 304.854073561965, 5e-15)
report:value("sets that agree with NIST", 3)
