-- Filters on the reference's own instruments.
-- Thresholds are parameters of the checks; the rules are common practice, no source, where the
-- text says nothing else.

local filters = {}

--- Icing possible: below a temperature and above a humidity at the same time. Ice stays when the
--- air dries, so with `thaw` = { above =, held = } it is possible until it has been warmer than
--- `above` in `held` intervals in succession.
--- IEC texts leave the values to the laboratory: +2 to +3 degC, 80 to 90 %, until warmer than +3 degC
--- for 1 to 2 h are recalled.
function filters.icing(temperature, humidity, below, above, thaw)
  local icing = temperature:below(below, "degC") & humidity:above(above, "%")
  if not thaw then return icing end
  return icing:latch(temperature:above(thaw.above, "degC"):held(thaw.held))
end

--- A vane or cup that shows the same value in `n` or more intervals one after another.
function filters.stuck(column, n)
  return column:unchanged(n)
end

--- A flat line: a standard deviation below `sd_below` while the mean is above `mean_above` (m/s).
--- Moving air is never that still; a blocked or iced cup is.
function filters.flat(sd, mean, sd_below, mean_above)
  return sd:below(sd_below, "m/s") & mean:above(mean_above, "m/s")
end

--- The normal standard deviation by a median absolute deviation: 1 / quantile.normal(0.75).
local NORMAL = 1.4826

--- A spike: further from the median of a window of `n` intervals about it (n odd) than `times`
--- standard deviations, told by the median absolute deviation of that window, which no spike moves
--- much (Hampel's rule, recalled; 5 standard deviations: common practice, no source). Of one series
--- alone, never of a deviation. Where most of a window is equal any other value is a spike.
function filters.spike(column, n, times)
  local off = (column - column:rolling_median(n)):abs()
  return off:above(column:rolling_mad(n) * (NORMAL * times))
end

--- The same for the samples of an interval about the interval's own median, for `prepare`.
function filters.spike_in_samples(samples, times)
  local off = (samples - samples:median()):abs()
  return off:above(off:median() * (NORMAL * times))
end

--- A sample that lies further from the one before than `most`, for `prepare`: no cup follows gusts
--- faster than some 20 m/s from one second to the next (common practice, no source). The first
--- sample of an interval, and one that follows a missing one, is no jump.
function filters.jump(samples, most, unit)
  local before = samples:lag(1)
  return (samples - before):abs():above(most, unit) & ~before:missing()
end

--- Gusts that no wind has: a standard deviation above `sd_above` (m/s), or a turbulence intensity
--- above `ti_above` (a ratio), while the mean is above `mean_above` (m/s): 3 m/s, 0.5, 4 m/s (common
--- practice, no source).
function filters.unsteady(sd, mean, sd_above, ti_above, mean_above)
  return (sd:above(sd_above, "m/s") | (sd / mean):above(ti_above)) & mean:above(mean_above, "m/s")
end

--- Outside of what the instrument can have measured; the upper end belongs to the range.
function filters.out_of_range(column, lowest, highest, unit)
  return column:below(lowest, unit) | column:above(highest, unit)
end

--- Precipitation above a rate (mm/h). It may be left out only if use leaves it out as well (IEC
--- 61400-12-1 Annex L practice, recalled): flag it first.
function filters.precipitation(rate, above)
  return rate:above(above, "mm/h")
end

return filters
