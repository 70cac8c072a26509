-- resample.blocks and resample.leave_out_days against a plain recomputation in exact fractions by the method's text:
--   windassay script resample.lua --data d=resample/records.csv --data e=resample/expected.csv
-- Python's quantiles, sd and jackknife are in doubles: 1e-12 of the value, 1e-10 of a standard error.
local d, e = data.d, data.e
local bins = { width = 0.5, lowest = 7, highest = 9, at_least = 3 }
local checked = 0

local function close(what, found, right, within)
  local good = math.abs(found - right) <= within * math.abs(right) -- false for NaN
  if not good then
    error(string.format("%s: found %.17g, right is %.17g", what, found, right))
  end
  checked = checked + 1
end

for i = 1, #e.statistic do
  local name, length = e.statistic[i], math.tointeger(e.length[i])
  local asked = { x = d.x, y = name ~= "mean" and d.y or nil, time = d.time, statistic = name }
  if name:find("bin_means", 1, true) then asked.bins = bins end
  local days = resample.leave_out_days(asked)
  asked.length, asked.times, asked.seed = length, 60, 20260302
  local r = resample.blocks(asked)
  local what = name .. " in blocks of " .. length .. ": "
  close(what .. "estimate", r.estimate, e.estimate[i], 1e-14)
  close(what .. "first resample", r.values[1], e.first[i], 1e-14)
  close(what .. "standard error", r.standard_error, e.standard_error[i], 1e-10)
  close(what .. "low", r.interval.low, e.low[i], 1e-12)
  close(what .. "high", r.interval.high, e.high[i], 1e-12)
  close(what .. "days", days.days, e.days[i], 0)
  close(what .. "standard error from days", days.standard_error, e.day_error[i], 1e-10)
  close(what .. "least", days.least, e.day_least[i], 1e-14)
  close(what .. "most", days.most, e.day_most[i], 1e-14)
end
print(checked .. " values agree")
report:value("values that agree", checked)
assert(checked == 16 * 9)
