-- Repeatability and reproducibility over the units of a fleet (or over sites).
-- ISO 5725-2 (recalled, check your copy of the standard): p units, n_i repeats of each.
--
--   s_r^2 = sum (n_i - 1) s_i^2 / sum (n_i - 1)       within units; equal n: mean of the variances
--   n0    = (N - sum n_i^2 / N) / (p - 1)             equal n: n
--   s_d^2 = sum n_i (mean_i - mean)^2 / ((p - 1) n0)  between means, mean over all N values
--   s_L^2 = max(0, s_d^2 - s_r^2 / n0)                between units
--   s_R^2 = s_r^2 + s_L^2
--   limits r = 2.8 s_r, R = 2.8 s_R                   95 % for a difference of two, 1.96 sqrt(2)
--
-- The scatter between units in the field holds the reference and the conditions as much as the
-- units: never read it as instrument spread without taking off what the reference gives.

local repeatability = {}

--- Factor of the limits; 1.96 sqrt(2) rounded, as the standard has it.
repeatability.FACTOR = 2.8

--- `groups`: a list of lists of numbers, one list a unit.
function repeatability.of(groups)
  local p, N, squares, total = #groups, 0, 0, 0
  if p < 2 then undefined("reproducibility needs two units at least") end
  local within, means = 0, {}
  for i, g in ipairs(groups) do
    local c = column.new(g)
    means[i] = c:mean()
    N, squares, total = N + #g, squares + #g * #g, total + #g * means[i]
    if #g > 1 then within = within + (#g - 1) * c:sd() ^ 2 end
  end
  if N == p then undefined("repeatability needs a unit with two repeats at least") end
  local mean, n0, between = total / N, (N - squares / N) / (p - 1), 0
  for i, g in ipairs(groups) do between = between + #g * (means[i] - mean) ^ 2 end
  local r2 = within / (N - p)
  local L2 = math.max(0, between / ((p - 1) * n0) - r2 / n0)
  local s_r, s_R = math.sqrt(r2), math.sqrt(r2 + L2)
  return { mean = mean, means = means, s_r = s_r, s_L = math.sqrt(L2), s_R = s_R,
           r = repeatability.FACTOR * s_r, R = repeatability.FACTOR * s_R, n0 = n0, dof = N - p }
end

return repeatability
