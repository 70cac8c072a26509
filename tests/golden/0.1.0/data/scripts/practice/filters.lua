-- Filters on the reference's own instruments.
-- Thresholds are parameters of the checks; the rules are common practice, no source, where the
-- text says nothing else.

local filters = {}

--- Icing possible: below a temperature and above a humidity at the same time.
--- IEC texts leave the values to the laboratory; +2 degC and 80 % are recalled defaults.
function filters.icing(temperature, humidity, below, above)
  return temperature:below(below, "degC") & humidity:above(above, "%")
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
