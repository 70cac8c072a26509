-- Has a unit changed between two calibrations? Each value has a statistical part of its uncertainty,
-- which is its own, and a part of the reference, which the two may share:
--
--   d      = after - before
--   u(d)^2 = u_A,before^2 + u_A,after^2 + u_ref,before^2 + u_ref,after^2 - 2 r u_ref,before u_ref,after
--   E_n    = d / (k u(d)),  k = 2;  |E_n| <= 1: no drift is seen
--
-- which is u_A,before^2 + u_A,after^2 + (1 - r) 2 u_ref^2 where both references are equally good.
-- r is the correlation of the two references (common practice, no source): the same instrument and
-- certificate 1, the same recalibrated in between about 0.5, another one 0. For r = 0 E_n is that of
-- ISO/IEC 17043 (recalled), (x1 - x2) / sqrt(U1^2 + U2^2).

local drift = {}

--- `before` and `after`: { value =, statistical =, reference = }, the last two standard
--- uncertainties (k = 1). Gives { difference =, u =, en = }.
function drift.compare(before, after, correlation, k)
  local b, a = before.reference, after.reference
  local variance = before.statistical * before.statistical + after.statistical * after.statistical
    + b * b + a * a - 2 * correlation * b * a
  if variance <= 0 then undefined("the difference has no uncertainty") end
  local d, u = after.value - before.value, math.sqrt(variance)
  return { difference = d, u = u, en = d / (k * u) }
end

--- What a drift that is seen adds to the uncertainty of the campaign between: a rectangular
--- component, |d| / sqrt(3) (common practice, no source).
function drift.component(difference)
  return math.abs(difference) / math.sqrt(3)
end

--- The part of the reference in a whole uncertainty, whose other part is the statistical one.
function drift.reference_part(whole, statistical)
  return math.sqrt(math.max(0, whole * whole - statistical * statistical))
end

return drift
