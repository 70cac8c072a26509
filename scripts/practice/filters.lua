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

return filters
