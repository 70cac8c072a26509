-- Records that depend on their neighbours: how much less they say than their number.
-- Ten-minute means are not independent (noted for cups in Risoe-R-1218, seen quoted). Formulas
-- recalled; those of series of the first order are common practice.
--
--   effective number   n_eff = n (1 - r1) / (1 + r1)          r1 autocorrelation at lag 1
--   a slope's u        u sqrt((1 + r_x r_e) / (1 - r_x r_e))  r_x of x, r_e of the residuals, lag 1
--   mean, Newey-West   u^2 = (g_0 + 2 sum_(k=1..L) (1 - k / (L + 1)) g_k) / n
--                      g_k autocovariance at lag k with the divisor n (Econometrica 55, 703, 1987)
--   mean, batches      u = sd of the means of whole batches / sqrt(batches)
--
-- Resampling by blocks (`resample.blocks`) needs none of these models; use it to decide.

local dependent = {}

--- Effective number of records. A negative r1 would make it larger than n; `column:effective_count`
--- stops at n, this does not.
function dependent.effective(n, r1)
  return n * (1 - r1) / (1 + r1)
end

--- How many records count as one, n / n_eff, by the autocorrelation at lag 1: 1 where it is not above 0.
function dependent.dependence(c)
  return c:count() / c:effective_count()
end

--- Factor on the standard uncertainty of a slope.
function dependent.slope_factor(r_x, r_e)
  return math.sqrt((1 + r_x * r_e) / (1 - r_x * r_e))
end

--- Standard uncertainty of the mean of a column by Newey and West, `lags` = L. Where the column
--- knows its times, pairs across a gap are none.
function dependent.newey_west(c, lags)
  local n, sd = c:count(), c:sd()
  local g0 = sd * sd * (n - 1) / n
  local sum = 1
  for k = 1, lags do sum = sum + 2 * (1 - k / (lags + 1)) * c:autocorrelation(k) end
  return math.sqrt(g0 * sum / n)
end

--- Standard uncertainty of the mean of a column by the means of batches of `length` rows; rows at
--- the end that fill no batch, and batches with missing values, are left out.
function dependent.batches(c, length)
  local row = {}
  for i = 1, #c do row[i] = i end
  local whole = #c // length
  if whole < 2 then undefined("two whole batches at least are needed") end
  local edges = {}
  for k = 0, whole do edges[k + 1] = k * length + 0.5 end
  local means = bin.by(column.new(row), { edges = edges, at_least = length }):mean(c)
  if means:count() < 2 then undefined("two whole batches at least are needed") end
  return means:sd() / math.sqrt(means:count())
end

return dependent
