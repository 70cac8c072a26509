-- Do the clocks of unit and reference agree?
-- Coarse: the lag with the highest correlation of the two wind speeds, in whole intervals (common
-- practice). Fine: a unit whose stamps are early by f of an interval sees the wind of the next
-- interval with the weight f. So s = a + g v + g f d, where d is half the difference of the
-- neighbouring reference intervals. A plain fit of that is biased, because d is not the gradient
-- that the shift meets; with the difference of the intervals two away as an instrument it is
-- not, for wind that remembers more than an interval (docs/design/0003, own method).
-- All of it is information: a clock is never corrected here, only declared in the campaign.

local channels   = require "practice.channels"
local exclusions = require "practice.exclusions"

local check = {
  title    = "Clock of the unit against the reference",
  does     = "Finds by how much the stamps of the unit are early or late: the lag of the highest "
          .. "correlation of both wind speeds in whole intervals, the rest from how the unit "
          .. "follows the reference's neighbouring intervals; in stretches of some days it shows a "
          .. "drift.",
  practice = "common practice: correlation of the wind speeds at whole lags; "
          .. "regression on neighbouring intervals for the rest",
  needs    = { "unit.wind_speed", "reference.wind_speed" },
  parameters = exclusions.parameters({
    within  = { 144, "intervals", "largest lag that is tried, to both sides",
                source = "own choice" },
    days    = { 7, "days", "length of the stretches that show a drift", source = "own choice" },
    records = { 504, "records", "records that a stretch needs", source = "own choice" },
  }, exclusions.SURROUNDINGS),
}

-- The reference's intervals before and after, one and two away, on the grid.
local function neighbours(V)
  return { near = (V:lag(-1) - V:lag(1)) * 0.5, far = V:lag(-2) - V:lag(2) }
end

-- Seconds to add to the unit's stamps, and their standard uncertainty. Two-stage least squares;
-- the scatter is widened for records that hang together (r of neighbours in what is fitted and in
-- the residuals: textbook factor sqrt((1 + rx re) / (1 - rx re))).
local function fine(v, near, far, s, interval)
  local first = fit.least_squares(near, { speed = v, far = far })
  local gradient = v * first.coefficients.speed + far * first.coefficients.far
  local second = fit.least_squares(s, { speed = v, gradient = gradient })
  local gain, slope = second.coefficients.speed, second.coefficients.gradient
  local rest = s - v * gain - gradient * slope
  local r = math.max(0, gradient:autocorrelation(1) * rest:autocorrelation(1))
  local widen = math.sqrt((1 + r) / (1 - r))
  return interval * slope / gain,
    interval * second.coefficients_u.gradient / math.abs(gain) * widen, second.n
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
  local cup, lidar = channels.pair(r, "wind_speed", 0)
  local V, S = cup.mean, lidar.mean
  local c = correlate.lag(V, S, { within = p.within })
  local lag = c.lag
  -- What the two do not see alike tells nothing of their clocks: an iced cup, a wake.
  exclusions.missing(r, cup, lidar)
  exclusions.icing(r, report, p)
  exclusions.disturbed(campaign, r, report, p.sector_margin, { unknown = "keep" })

  -- The unit's column is moved by the whole lag, so that the rest is small; the neighbours are
  -- those of the grid, and only then the columns are cut.
  local next_to, moved = neighbours(V), S:lag(-lag)
  r:exclude("a neighbouring interval is missing",
    next_to.near:missing() | next_to.far:missing() | moved:missing())
  local time, v, near, far, s = r:kept(r.time, V, next_to.near, next_to.far, moved)
  local rest, rest_u, n = fine(v, near, far, s, r.interval)
  local offset = rest - lag * r.interval
  report:value("correlation at the best lag", c.correlation_at_lag, { unit = "1" })
  report:value("whole lag", lag, { unit = "1", text = "intervals by which the unit comes later" })
  report:value("clock offset", offset,
    { unit = "s", u = rest_u, text = "seconds to add to the unit's stamps" })
  report:value("records used", n, { unit = "1" })

  -- The same by stretches: a straight line through them is the drift.
  local at, off, off_u = {}, {}, {}
  local first, length = r.time[1], p.days * 86400
  local whole = #r * r.interval / 86400
  for i = 1, math.ceil(whole / p.days) do
    local mask = time:between(first + (i - 1) * length, first + i * length, "s")
    -- the last stretch ends with the period
    at[i], off[i], off_u[i] = ((i - 1) * p.days + math.min(i * p.days, whole)) / 2, missing, missing
    if mask:count() >= p.records then
      local value, u = fine(v:where(mask), near:where(mask), far:where(mask), s:where(mask),
        r.interval)
      off[i], off_u[i] = value - lag * r.interval, u
    end
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
