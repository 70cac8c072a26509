-- NORSEWInD criteria: a lidar against a mast before it is deployed.
-- Slope 0.98 to 1.01 and correlation coefficient above 0.98 for 4 to 16 m/s: seen in the abstract
-- of Hasager et al., Remote Sens. 5(9), 4280-4303 (2013). The other rows are recalled, check the
-- table. The abstract speaks of the correlation coefficient, other texts of R2: the abstract is
-- followed here.

local PAPER = "Hasager et al. 2013, Remote Sens. 5(9), abstract"
local TABLE = "NORSEWInD criteria table"

-- 600 records, of them 200 in 4 to 8 and 200 in 8 to 12 m/s (practice of a test laboratory, seen).
-- Bins of 0.5 m/s whose edges, not centres, are 4 and 16 m/s.
local RANGE = { width = 0.5, centred_on = 0.25, lowest = 4.25, highest = 15.75, at_least = 1,
                hours = 100, coverage_edges = { 4, 8, 12 }, coverage_at_least = 200 }

local function limit(name, lower, upper, source, evidence, unit)
  return { check = "wind_speed_comparison", run = "4 to 16", require = name, lower = lower,
           upper = upper, unit = unit or "1", parameters = RANGE, source = source,
           evidence = evidence }
end

return {
  title = "NORSEWInD criteria",
  source = PAPER,
  rule = "simple",
  limits = {
    limit("slope_records", 0.98, 1.01, PAPER, "seen"),
    limit("correlation_records", 0.98, nil, PAPER, "seen"),
    limit("slope_difference_4_8_and_8_12", nil, 0.015, TABLE, "recalled"),
    limit("share_beyond_deviation", nil, 10, TABLE, "recalled", "%"),
  },
}
