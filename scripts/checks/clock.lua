-- Do the clocks of unit and reference agree?
-- Coarse: the lag with the highest correlation of the two wind speeds, in whole intervals.
-- Fine: a unit that is late by f of an interval shows (1 - f) of its own interval and f of the
-- next one, so the slope of its deviation on the difference between the neighbouring intervals
-- is f. Both are information; a clock is never corrected here, only declared in the campaign.
-- Own method for the fine part (docs/reference/methods.md), the coarse one is common practice.

local channels = require "practice.channels"

local check = {
  title    = "Clock of the unit against the reference",
  practice = "common practice: correlation of the wind speeds at whole lags; "
          .. "regression on neighbouring intervals for the rest",
  needs    = { "unit.wind_speed", "reference.wind_speed" },
  parameters = {
    within  = { 144, "intervals", "largest lag that is tried, to both sides" },
    days    = { 7, "days", "length of the stretches that show a drift" },
    records = { 144, "records", "records that a stretch needs" },
  },
}

-- Seconds by which the unit's clock is late (positive: what the unit stamps at t happened
-- later), with the standard uncertainty of the fit.
local function fine(v, before, after, s, interval)
  local gradient = (after - before) * 0.5
  local f = fit.least_squares(s, { speed = v, gradient = gradient }, { intercept = true })
  local gain = f.coefficients.speed
  return interval * f.coefficients.gradient / gain,
    interval * f.coefficients_u.gradient / math.abs(gain), f.n
end

local function cause(seconds, u, interval)
  local size = math.abs(seconds)
  local steps = math.floor(size / 3600 + 0.5)
  if size <= 2 * u or size < 1 then return "none: the clocks agree" end
  if steps > 0 and math.abs(size - steps * 3600) < 0.25 * interval then
    return string.format("time zone or summer time: %d h", steps)
  end
  if math.abs(size - interval) < 0.25 * interval then
    return "stamps of interval start taken for end, or the other way round"
  end
  if math.abs(size - interval / 2) < 0.1 * interval then
    return "stamps of interval centre taken for start or end"
  end
  return "a clock that is off"
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local V = channels.main(r.reference, "wind_speed").mean
  local S = channels.main(r.unit, "wind_speed").mean
  local c = correlate.lag(V, S, { within = p.within })
  local lag = c.lag

  -- From here on the unit's column is moved by the whole lag, so that the rest is small.
  local moved = S:lag(-lag)
  local before, after = V:lag(1), V:lag(-1)
  local rest, rest_u, n = fine(V, before, after, moved, r.interval)
  local offset = rest - lag * r.interval
  report:value("correlation at the best lag", c.correlation_at_lag, { unit = "1" })
  report:value("whole lag", lag, { unit = "1", text = "intervals by which the unit comes later" })
  report:value("clock offset", offset,
    { unit = "s", u = rest_u, text = "seconds to add to the unit's stamps" })
  report:value("records used", n, { unit = "1" })

  -- The same by stretches: a straight line through them is the drift.
  local at, off, off_u = {}, {}, {}
  local first, length = r.time[1], p.days * 86400
  local stretches = math.ceil(#r * r.interval / length)
  for i = 1, stretches do
    local mask = r.time:between(first + (i - 1) * length, first + i * length, "s")
    local ok, value, u = pcall(function()
      local w = moved:where(mask)
      if w:count() < p.records then error("too few") end
      return fine(V:where(mask), before:where(mask), after:where(mask), w, r.interval)
    end)
    at[i], off[i], off_u[i] = (i - 0.5) * p.days, missing, missing
    if ok then off[i], off_u[i] = value - lag * r.interval, u end
  end
  report:table("by stretch", { columns = {
    { name = "middle", unit = "day", values = at },
    { name = "clock offset", unit = "s", values = off },
    { name = "standard uncertainty", unit = "s", values = off_u },
  } })
  local known = column.new(off, "s")
  local reason = cause(offset, rest_u, r.interval)
  if known:count() >= 3 then
    local line = fit.line(column.new(at, "day"), known)
    report:value("clock drift", line.slope, { unit = "s day-1", u = line.slope_u })
    if math.abs(line.slope) > 3 * line.slope_u and math.abs(line.slope) > 0.2 then
      reason = "a clock that drifts"
    end
  end
  report:note("likely cause: " .. reason)
  report:figure("correlation by lag", {
    title = "Correlation of the wind speeds by lag",
    x = { label = "lag", unit = "intervals" },
    y = { label = "correlation", unit = "1" },
    series = { { kind = "line", label = "correlation", x = c.lags, y = c.correlation },
               { kind = "mark", label = "best lag", x = lag } },
  })
  report:require("clock_offset", math.abs(offset), { unit = "s", u = rest_u,
    scatter_only = "scatter of the records only" })
end

return check
