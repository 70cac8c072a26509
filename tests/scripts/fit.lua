-- fit.*: the fixed names, units, what is undefined and what is refused.
local x = column.new({ 60, 61, 62, 63, 64, 65, 66, 67, 68, 69, 70, missing }, "m/s")
local y = column.new({ 130, 131, 132, 133, 134, 135, 136, 137, 138, 139, 140, 1 }, "m/s")
-- NIST NoInt1, certified: 2.07438016528926, 0.0165289256198347, 3.56753034006338, 0.999365492298663
local f = fit.through_origin(x, y)
print(f.n, f.left_out, f.dof, f.slope, f.slope_u, f.slope_unit)
--> 11	1	10	2.074380165289256	0.01652892561983471	1
print(f.residual_sd, f.r2_uncentred, f.r2_centred, f.r2_pearson, f.residual_unit)
--> 3.567530340063379	0.9993654922986628	-0.15702479338842976	1.0	m s-1
local w = column.new{ 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 0, 1 }
print(fit.through_origin(x, y, { weights = w }).left_out)
--> 2

-- JCGM 100:2008 H.3: y1 -0.1712, y2 0.00218; at 30 degC -0.1494 with u 0.0041
local t = column.new({ 1.521, 2.012, 2.512, 3.003, 3.507, 3.999, 4.513, 5.002, 5.503, 6.010, 6.511 }, "K")
local b = column.new({ -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160 }, "degC")
local l = fit.line(t, b)
print(string.format("%.4f %.5f %.4f %.5f %.4f", l.intercept, l.slope, l.intercept_u, l.slope_u, l.residual_sd))
--> -0.1712 0.00218 0.0029 0.00067 0.0035
print(string.format("%.4f %.10f", l.predict(10)), l:predict(10) == l.predict(10), l.slope_unit, l.intercept_unit, l.residual_unit)
--> -0.1494 0.0041385958	true	1	degC	K
local value, u = l.predict(column.new({ 10, missing }, "K"))
print(string.format("%.4f %.4f", value[1], u[1]), value[2], value.unit, u.unit)
--> -0.1494 0.0041	missing	degC	K

-- named columns, with and without a constant
local a, c = column.new{ 1, 2, 3, 4, 5 }, column.new{ 2, 1, 4, 3, 6 }
local m = fit.least_squares(column.new({ 13, 11, 23, 21, 33 }, "m"), { a = a, c = c })
print(m.n, m.dof, m.coefficients.a, m.coefficients.c, m.coefficients.intercept, m.coefficients_unit.c, m.residual_sd)
--> 5	2	1.5	3.5	4.5	m	0.0
print(m.coefficients_u.a, m.covariance.a.c, m.r2_pearson)
--> 0.0	0.0	1.0
local n = fit.least_squares(column.new{ 13, 11, 23, 21, 34 }, { a = a, c = c }, { intercept = false })
print(n.dof, string.format("%.6f %.6f", n.coefficients.a, n.coefficients.c), n.coefficients.intercept)
--> 3	2.481203 3.819549	nil

-- cosine: 3 cos(d - 30) + 0.5, north between
local d = column.new({ 350, 0, 10, 20, 40, 50, 80, 100 }, "degree")
local cosine = fit.cosine(d, 3 * angle.cos(d - { 30, "degree" }) + 0.5, { offset = true })
print(string.format("%.12f %.12f %.12f", cosine.direction, cosine.amplitude, cosine.offset), cosine.dof)
--> 30.000000000000 3.000000000000 0.500000000000	5
local rectified = fit.cosine(d, (3 * angle.cos(d - { 80, "degree" })):abs(), { rectified = true, near = 250 })
print(string.format("%.12f %.12f", rectified.direction, rectified.amplitude))
--> 260.000000000000 3.000000000000

-- Pearson's points with York's weights: 5.47991022, -0.480533407; 0.29497, 0.057985; 11.866
local px = column.new{ 0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4 }
local py = column.new{ 5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5 }
local ux = column.new{ 1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1 } ^ -0.5
local uy = column.new{ 1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500 } ^ -0.5
local york = fit.york(px, py, { u_x = ux, u_y = uy })
print(string.format("%.8f %.9f %.6f %.6f %.7f", york.intercept, york.slope, york.intercept_u, york.slope_u, york.chi2))
--> 5.47991022 -0.480533407 0.294971 0.057985 11.8663532
-- the same points through the origin: minimised in 40-digit arithmetic (mpmath, computed)
local forced = fit.york(px, py, { u_x = ux, u_y = uy, through_origin = true })
print(string.format("%.12f %.12f %.10f", forced.slope, forced.slope_u, forced.chi2), forced.dof, forced.slope_unit)
--> 0.605297428193 0.018711383384 322.6157355001	9	1
local deming = fit.deming(px, py, { ratio = 1 })
print(string.format("%.8f %.8f", deming.intercept, deming.slope))
--> 5.78404377 -0.54556120
-- equal errors everywhere: the same line
local alike = fit.york(px, py, { u_x = 0.1, u_y = 0.1, correlation = 0 })
print(string.format("%.8f %.8f", alike.intercept, alike.slope))
--> 5.78404377 -0.54556120
local sen = fit.theil_sen(px, py)
print(string.format("%.9f %.9f", sen.slope, sen.intercept))
--> -0.535714286 5.882142857

-- undefined, never NaN
local function says(run, ...)
  local ok, e = pcall(run, ...)
  print(ok or (e.kind .. ": " .. (e.message:gsub("^[^ ]*lua:%d+: ", ""))) .. (e.hint and " (" .. e.hint .. ")" or ""))
end
local one, same = column.new({ 1, 2 }, "m/s"), column.new{ 3, 3, 3, 3, 3 }
says(fit.line, one, one)
--> undefined: a fit of 2 coefficients needs at least 3 records, but there are 2
says(fit.line, same, a)
--> undefined: a fit is not defined: all values of 'x' are equal
says(fit.through_origin, 0 * same, a)
--> undefined: a fit is not defined: all values of 'x' are 0
says(function() return fit.through_origin(a, same).r2_centred end)
--> undefined: r2_centred is not defined: all y are equal
says(function() return fit.cosine(d, angle.cos(d)).offset end)
--> undefined: offset is not defined: no offset was fitted; ask for it: { offset = true }
says(fit.least_squares, a, { p = a, q = c, r = a + c })
--> undefined: the columns do not determine the coefficient of 'r': it is a combination of the columns before it and a constant (leave 'r' out, or one of the columns that it is made of)
says(fit.least_squares, a, { p = c, q = same })
--> undefined: a fit is not defined: all values of 'q' are equal
says(fit.deming, same, a, { ratio = 1 })
--> undefined: a fit with errors in both variables is not defined: x and y are not correlated, or x does not vary

-- misuse
says(fit.line, a, one)
--> script: fit.line: the columns have 5 and 2 values (cut both alike: local a, b = r:kept(a, b), or :where with the same mask)
says(fit.line, a, 3)
--> script: fit.line: expected a column, got number
says(function() return f.slop end)
--> script: a fit through the origin has no 'slop' (did you mean 'slope'?)
says(function() f.slope = 1 end)
--> script: a fit through the origin is read-only (keep your own in a local variable)
says(fit.deming, a, c)
--> script: fit.deming: needs the ratio of the error variances, y to x ({ ratio = 1 }: equal errors in x and y)
says(fit.deming, a, c, { ratoi = 1 })
--> script: fit.deming: unknown option 'ratoi' (did you mean 'ratio'?)
says(fit.deming, a, c, { ratio = -1 })
--> script: the ratio of error variances is -1: it must be above 0
says(fit.york, a, c, { u_x = 0.1 })
--> script: fit.york: needs the standard uncertainties u_x and u_y ({ u_x = 0.1, u_y = column })
says(fit.york, a, c, { u_x = 0.1, u_y = -1 })
--> script: record 1 of a fit: the uncertainty of y is -1
says(fit.cosine, column.new{ 1, 2 }, one)
--> script: fit.cosine: the direction is in '1', not in degrees (convert it with :to("degree"); the direction comes first)
says(fit.cosine, d, d, { near = 3 })
--> script: fit.cosine: 'near' chooses between the two directions of a rectified fit; this one is not
says(fit.least_squares, a, { intercept = a })
--> script: fit.least_squares: 'intercept' is the name of the constant term
says(fit.least_squares, a, {})
--> script: fit.least_squares: takes 1 to 24 columns, got 0
says(fit.least_squares, a, { a, c })
--> script: fit.least_squares: the columns need names ({ shear = column, temperature = column })
says(fit.through_origin, a, c, { weights = -a })
--> script: weight 1 of a fit is -1: weights are 0 or above
says(l.predict, column.new({ 1 }, "degC"))
--> script: predict: the line was fitted over 'K', not 'degC'
