-- Control of check standards: is the reference still what it was?
-- NIST/SEMATECH e-Handbook of Statistical Methods, 2.2.2 and 2.2.3 (sections seen, formulas
-- recalled) and 6.3.2.4 for the EWMA chart (limits seen); E_n of ISO 17043 (recalled). The usual
-- k of 2 (warning) and 3 (action) are common practice.
--
--   Shewhart      centre +- t(1 - alpha/2, dof) s      of a baseline with mean, s and dof = n - 1;
--                 or centre +- k s
--   EWMA          z_t = lambda x_t + (1 - lambda) z_(t-1), z_0 = target
--                 target +- k s sqrt(lambda / (2 - lambda) (1 - (1 - lambda)^(2 t))); large t:
--                 target +- k s sqrt(lambda / (2 - lambda))
--   short term    out of control where s_new > s_pool sqrt(F(1 - alpha; dof_new, dof_pool))
--   s itself      lies with probability P in s sqrt(dof / chi2((1 +- P) / 2; dof))
--   two periods   t = (mean_a - mean_b) / sqrt(s^2 (1/n_a + 1/n_b)), s pooled; alike where
--                 |t| <= t(1 - alpha/2, n_a + n_b - 2)
--   E_n           (x1 - x2) / sqrt(U1^2 + U2^2), U of k = 2; agree where |E_n| <= 1

local control = {}

--- Lower and upper Shewhart limits around `centre`. `how.k` gives the factor; else `how.alpha`
--- (the chance of a false alarm) and `how.dof` of the baseline's s give it by Student's t.
function control.shewhart(centre, s, how)
  local k = how.k or quantile.t(1 - how.alpha / 2, how.dof)
  return centre - k * s, centre + k * s
end

--- The exponentially weighted moving average of a list of values: list of
--- { z =, lower =, upper =, inside = }, and the limits that hold for ever. `o`: target, s, lambda
--- (0.3), k (3), and `exact = true` for limits that widen with t instead of the steady ones.
function control.ewma(values, o)
  local lambda, k = o.lambda or 0.3, o.k or 3
  if not (lambda > 0 and lambda <= 1) then error("lambda lies in 0 to 1, 0 left out", 2) end
  local steady = k * o.s * math.sqrt(lambda / (2 - lambda))
  local z, left, rows = o.target, 1, {}
  for i, x in ipairs(values) do
    z, left = lambda * x + (1 - lambda) * z, left * (1 - lambda)
    local half = o.exact and steady * math.sqrt(1 - left * left) or steady
    rows[i] = { z = z, lower = o.target - half, upper = o.target + half,
                inside = math.abs(z - o.target) <= half }
  end
  return rows, o.target - steady, o.target + steady
end

--- The largest standard deviation of a check with `dof_new` degrees of freedom that is still in
--- control against the pooled one, at a chance `alpha` of a false alarm.
function control.short_term_limit(s_pool, dof_pool, dof_new, alpha)
  return s_pool * math.sqrt(quantile.f(1 - alpha, dof_new, dof_pool))
end

--- The interval in which the true standard deviation lies with probability P (0.95), by an s of `dof`
--- degrees of freedom of normal values: a baseline of few checks says little of its limits.
function control.interval_of_s(s, dof, P)
  P = P or 0.95
  return s * math.sqrt(dof / quantile.chi2((1 + P) / 2, dof)),
    s * math.sqrt(dof / quantile.chi2((1 - P) / 2, dof))
end

--- Do two periods { mean =, s =, n = } agree? Gives t, its limit and the pooled s.
function control.two_periods(a, b, alpha)
  local dof = a.n + b.n - 2
  local s = math.sqrt(((a.n - 1) * a.s * a.s + (b.n - 1) * b.s * b.s) / dof)
  if s == 0 then undefined("two periods without scatter cannot be tested") end
  return (a.mean - b.mean) / (s * math.sqrt(1 / a.n + 1 / b.n)), quantile.t(1 - alpha / 2, dof), s
end

--- E_n of two results with their expanded uncertainties (k = 2), independent of each other. What
--- both share (one reference) must not be in the U.
function control.e_n(x1, U1, x2, U2)
  if U1 == 0 and U2 == 0 then undefined("E_n needs an expanded uncertainty above 0") end
  return (x1 - x2) / math.sqrt(U1 * U1 + U2 * U2)
end

return control
