-- The floating-lidar roadmap's key performance indicators as limits.
-- Indicators: slope and coefficient of determination of the forced regression of 10-min mean
-- wind speeds, over all speeds from 2 m/s and over 4 to 16 m/s; slope, offset and coefficient of
-- determination of the mean wind direction; availabilities. Coverage: 40 records in each bin of
-- 1 m/s from 2 to 12 m/s and of 2 m/s from 12 to 16 m/s. All of it recalled, check your copy.
-- The roadmap does not say which coefficient of determination it means; the centred one is
-- taken, because the uncentred one is close to 1 for any wind data.

local roadmap = {}

local SOURCE = "floating-lidar roadmap, table of key performance indicators"

local function limit(check, run, require_name, lower, upper, unit)
  return { check = check, run = run, require = require_name, lower = lower, upper = upper,
           unit = unit or "1", source = SOURCE, evidence = "recalled" }
end

local COVERAGE = { 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 16 }

-- Runs of the speed comparison: the same coverage, two ranges of the fit.
local RUNS = {
  { name = "from 2", parameters = { width = 1, centred_on = 0.5, lowest = 2.5, highest = 24.5,
    at_least = 1, hours = 0, coverage_edges = COVERAGE, coverage_at_least = 40 } },
  { name = "4 to 16", parameters = { width = 1, centred_on = 0.5, lowest = 4.5, highest = 15.5,
    at_least = 1, hours = 0, coverage_edges = COVERAGE, coverage_at_least = 40 } },
}

function roadmap.criteria(o)
  local limits = {}
  for _, run in ipairs(RUNS) do
    local slope = limit("wind_speed_comparison", run.name, "slope_records",
      o.slope[1], o.slope[2])
    local r2 = limit("wind_speed_comparison", run.name, "r2_centred_records", o.r2, nil)
    slope.parameters, r2.parameters = run.parameters, run.parameters
    limits[#limits + 1], limits[#limits + 2] = slope, r2
  end
  local direction = "wind_direction_comparison"
  limits[#limits + 1] = limit(direction, nil, "slope", o.direction_slope[1], o.direction_slope[2])
  limits[#limits + 1] = limit(direction, nil, "offset", nil, o.direction_offset, "degree")
  limits[#limits + 1] = limit(direction, nil, "r2_pearson", o.direction_r2, nil)
  limits[#limits + 1] = limit("availability", nil, "system_availability", 95, nil, "%")
  limits[#limits + 1] = limit("availability", nil, "valid_availability", 85, nil, "%")
  return { title = o.title, source = "floating-lidar roadmap, 2013 and 2018; IEA Wind RP 18, 2017",
           rule = "simple", limits = limits }
end

return roadmap
