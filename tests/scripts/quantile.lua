-- Quantiles for scripts: closed forms, what is refused. Values: tests/reference/worked_statistics.lua.
print(quantile.normal(0.5), quantile.t(0.75, 1), math.abs(quantile.t(0.975, math.huge) - quantile.normal(0.975)) < 1e-15)
--> 0.0	1.0	true
-- F of (2, 2): p / (1 - p)
print(quantile.f(0.9375, 2, 2), quantile.f(0.5, 2, 2), quantile.f(0.25, 2, 2) * 3)
--> 15.0	1.0	1.0
-- chi-squared of 2: -2 log(1 - p), of 1 the square of the normal's
print(math.abs(quantile.chi2(0.75, 2) - 4 * 0.69314718055994531) < 1e-15, math.abs(quantile.chi2(0.95, 1) - quantile.normal(0.975) ^ 2) < 1e-14)
--> true	true
local function says(f, ...)
  local e = select(2, pcall(f, ...))
  print(e.kind .. ": " .. e.message)
end
says(quantile.normal, 1)
says(quantile.normal, "0.5")
says(quantile.t, 0, 3)
says(quantile.t, 0.5, 0.5)
says(quantile.t, 0.5)
says(quantile.f, 0.5, 3, math.huge)
says(quantile.f, 0.5, 3, 1e9)
says(quantile.chi2, 0.5, 0)
says(quantile.chi2, 0.5, 1e9)
--> script: quantile.normal: a probability lies between 0 and 1, not at 1
--> script: quantile.normal: expected a number, got string
--> script: quantile.t: a probability lies between 0 and 1, not at 0
--> script: quantile.t: 0.5 degrees of freedom, below 1
--> script: quantile.t: expected a number, got nothing
--> script: quantile.f: expected a finite number, got infinity
--> undefined: quantile.f is not defined for these arguments
--> script: quantile.chi2: 0 degrees of freedom, below 1
--> undefined: quantile.chi2 is not defined for these arguments
