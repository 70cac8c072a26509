-- Horizontal wind speed of the unit against the reference, by bin of the reference.
-- IEC 61400-12-1 Annex L (since 2022 IEC 61400-50-2): method of bins, forced and free
-- regression on the records and on the bin means. Limits come from the criteria.
-- One height a run: a profiler beside several cups has one entry for each height.
-- A reference that scatters by itself (a lidar) has errors on both axes: practice/both_axes.lua.

local both_axes    = require "practice.both_axes"
local calibration  = require "practice.calibration"
local channels     = require "practice.channels"
local completeness = require "practice.completeness"
local drift        = require "practice.drift"
local exclusions   = require "practice.exclusions"
local reference    = require "practice.reference"

local RECALLED = "IEC 61400-12-1:2017 Annex L and clause 8.4"

local check = {
  title    = "Horizontal wind speed against the reference, by bin",
  does     = "Sorts the pairs by bins of the reference, gives the mean deviation and its "
          .. "uncertainty by bin, and fits the unit on the reference, through the origin and free, "
          .. "on records and on bin means.",
  practice = "IEC 61400-50-2:2022 (method, recalled); limits from the criteria",
  needs    = { "unit.wind_speed", "reference.wind_speed" },
  parameters = exclusions.parameters({
    height   = { 0, "m", "height that is compared (0: the only one, or the one marked primary)",
                 source = "for the campaign to say" },
    width    = { 0.5, "m/s", "width of a bin, centred on multiples of itself",
                 source = RECALLED, evidence = "recalled" },
    centred_on = { 0, "m/s", "a bin centre from which the others are counted",
                   source = "for the campaign to say" },
    lowest   = { 4, "m/s", "lowest bin centre", source = RECALLED, evidence = "recalled" },
    highest  = { 16, "m/s", "highest bin centre", source = RECALLED, evidence = "recalled" },
    at_least = { 3, "records", "records that a bin needs", source = RECALLED,
                 evidence = "recalled" },
    hours    = { 180, "h", "hours of compared records that are needed", source = RECALLED,
                 evidence = "recalled" },
    coverage_edges = { {}, "m/s", "edges of the bins that must be filled, where they are not "
                 .. "the bins of the table (empty: they are)",
                       source = "for the campaign to say" },
    coverage_at_least = { 3, "records", "records that each bin of coverage_edges needs",
                          source = "for the campaign to say" },
    window   = drift.WINDOW,
    deviation = { 0.5, "m/s", "deviation whose share of exceedance is reported",
                 source = "NORSEWInD criteria table", evidence = "recalled" },
    mounting = { 0.1, "%", "standard uncertainty by the unit's levelling and height",
                 tolerance = "50 %",
                 source = "IEC 61400-12-1:2017 Annex L", evidence = "recalled" },
    flow     = { 0.5, "%", "standard uncertainty by flow that is not homogeneous in the volume",
                 tolerance = "50 %",
                 source = "IEC 61400-12-1:2017 Annex L, flat terrain", evidence = "recalled" },
    separation = { 0, "%", "standard uncertainty by the distance between unit and reference",
                   tolerance = "50 %",
                 source = "common practice, no source", evidence = "recalled" },
    error_correlation = { 0, "1", "correlation of the errors of unit and reference in one record, "
                 .. "where the reference scatters by itself",
                          source = "for the campaign to say" },
  }, exclusions.USUAL),
}

local function exclude(campaign, r, p, report, cup, lidar)
  exclusions.missing(r, cup, lidar)
  exclusions.availability(r, report, lidar, p.availability)
  if reference.is_lidar(campaign, cup) then
    exclusions.reference_availability(r, report, cup, p.availability)
  end
  exclusions.icing(r, report, p)
  exclusions.instruments(r, report, p, { cup })
  exclusions.disturbed(campaign, r, report, p.sector_margin)
end

-- What must be there, said before anything that too few records leave undefined.
local function require_data(p, report, v, bins)
  local own = bin.by(v, bins)
  local other = #p.coverage_edges > 0
    and bin.by(v, { edges = p.coverage_edges, at_least = p.coverage_at_least }) or nil
  completeness.require(report, v, own, p.hours, other)
end

local function figures(report, v, s, c, slope)
  local top = math.max(v:max(), s:max())
  report:figure("scatter", {
    title = "Records and the forced fit",
    x = { label = "reference wind speed", unit = "m s-1" },
    y = { label = "unit wind speed", unit = "m s-1" },
    series = {
      { kind = "points", label = "records", x = v, y = s },
      { kind = "line", label = string.format("y = %.4f x", slope),
        x = { 0, top }, y = { 0, slope * top } },
    },
  })
  report:figure("deviation by bin", {
    title = "Mean deviation by bin, with its statistical uncertainty (k = 1)",
    x = { label = "reference wind speed", unit = "m s-1" },
    y = { label = "unit minus reference", unit = "m s-1" },
    series = {
      { kind = "level", label = "no deviation", y = 0 },
      { kind = "error", label = "mean deviation", x = c.reference_mean, y = c.deviation_mean,
        u = c.standard_error },
    },
  })
end

-- Where the reference's uncertainty is not known, the scatter is not the unit's, and says so.
local SCATTER = "scatter of the records only: no reference, mounting or flow uncertainty"

-- The uncertainty of the unit's speed by bin (IEC 61400-12-1 Annex L.4, since 2022 IEC 61400-50-2):
--
--   u^2 = u_ref^2 + D^2 + (s / sqrt(N))^2 + u_mount^2 + u_flow^2 + u_sep^2
--
-- with u_ref the reference's chain and D the mean deviation, taken as a standard uncertainty; and, where
-- the unit's speed is corrected by an earlier calibration, the parts of that calibration.
-- Formula recalled. Gives the budget without D, which is what a slope hangs on: D is its result; and why
-- it is not whole, where it is not.
local function uncertainty(campaign, p, report, cup, c, time, taken)
  local x = c.reference_mean
  local chain = reference.components(campaign, cup, x, { bins = c.bins, time = time })
  if not chain then
    report:note("the campaign names no instrument for the reference's wind speed: its uncertainty "
      .. "is not known, only the scatter of the records")
    return nil
  end
  for _, effect in ipairs(chain.not_stated or {}) do
    report:note("the campaign states no uncertainty of the reference's " .. effect)
  end
  local b = budget.new(c.bins)
  b:include(chain)
  b:add("statistical", c.standard_error, { kind = "A", source = "s / sqrt(N) of the deviations" })
  for _, own in ipairs{ { "mounting of the unit", p.mounting }, { "flow", p.flow },
                        { "separation", p.separation } } do
    if own[2] > 0 then
      b:add(own[1], { own[2], "%" },
        { sensitivity = x, kind = "B", group = own[1], source = "parameter" })
    end
  end
  if taken then b:include(calibration.components(taken, x)) end
  local whole = budget.new(c.bins)
  whole:include(b)
  whole:add("mean deviation", c.deviation_mean:abs(),
    { kind = "B", source = "of the bin, not divided" })
  report:table("uncertainty by bin", whole:table{ k = 2 })
  report:table("components of the uncertainty", whole:components())
  return b, reference.not_whole(chain, cup)
end

-- Uncertainty of a forced slope: of the mean of y / x, weighted as the fit weighs it.
local function slope_u(b, c, weights, scatter, not_whole)
  if not b then return { u = scatter, scatter_only = SCATTER } end
  local overall = b:overall{ weights = weights, relative_to = c.reference_mean }
  if not_whole then return { u = overall.u, scatter_only = not_whole } end
  return { u = overall }
end

-- For the unit's later campaigns: the forced gain of its uncorrected speed, its bins and budget.
local function hand_on(campaign, p, report, lidar, c, b, air)
  local means, x = c.through_origin.bin_means, c.reference_mean
  local valid = { calibration.covered("wind_speed", c.bins, p.width, "m s-1") }
  if air then valid[2] = calibration.seen("air_temperature", air) end
  calibration.give(report, lidar, { gain = means.slope,
    gain_u = b:overall{ weights = x * x, relative_to = x }.u, comparison = c, budget = b, valid = valid,
    from = campaign.period.from, to = campaign.period.to,
    text = "forced through the origin over the means of the complete bins" })
end

-- What an earlier calibration of the unit says of this campaign's records.
local function say_calibration(report, taken, s, air)
  calibration.say(report, { taken })
  local looked_at = { { taken = taken, quantity = "wind_speed", values = s } }
  if air then looked_at[2] = { taken = taken, quantity = "air_temperature", values = air } end
  calibration.say_beyond(report, looked_at)
end

-- A fit as named values.
local function values(report, name, forced, free)
  report:value("forced slope, " .. name, forced.slope, { unit = "1", u = forced.slope_u })
  report:value("r2 uncentred, " .. name, forced.r2_uncentred, { unit = "1" })
  report:value("r2 centred, " .. name, forced.r2_centred, { unit = "1" })
  report:value("r2 Pearson, " .. name, forced.r2_pearson, { unit = "1" })
  report:value("free slope, " .. name, free.slope, { unit = "1", u = free.slope_u })
  report:value("free intercept, " .. name, free.intercept,
    { unit = "m s-1", u = free.intercept_u })
end

-- The coefficient of correlation: the root of r2, with the sign of the free slope.
local function correlation(line)
  local size = math.sqrt(line.r2_pearson)
  return line.slope < 0 and -size or size
end

-- NORSEWInD asks that the slope vary little between 4 to 8 and 8 to 12 m/s. `key` is what sorts the
-- records, `slope` the forced slope of those under a mask.
-- A range without records leaves that requirement out, not the others.
local function slope_difference(key, slope, report)
  local slopes = {}
  for i, low in ipairs{ 4, 8 } do
    local inside = key:between(low, low + 4, "m/s")
    if inside:count() < 2 then
      return report:note(string.format("no difference of slopes: fewer than 2 records from %g to "
        .. "%g m/s", low, low + 4))
    end
    slopes[i] = slope(inside)
  end
  report:require("slope_difference_4_8_and_8_12", math.abs(slopes[1] - slopes[2]),
    { scatter_only = SCATTER })
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local cup, lidar = channels.pair(r, "wind_speed", p.height)
  channels.say_heights(report, cup, lidar)
  if p.height ~= 0 then report:value("height compared", p.height, { unit = "m" }) end
  exclude(campaign, r, p, report, cup, lidar)

  local taken = calibration.of(campaign, lidar)
  if not taken then calibration.say_not_applied(campaign, report, lidar) end
  local air = channels.if_any(r.reference, "air_temperature")
  air = air and r:so_far(air.mean)
  local speed, corrected = reference.mean(campaign, cup)
  if corrected then report:note(corrected) end
  local v, s, time = r:kept(speed, calibration.corrected(taken, lidar.mean), r.time)
  local both = both_axes.of(campaign, report, cup, lidar, v, s, p.error_correlation)
  local key = both and both.adjusted or v
  local bins = { width = p.width, centred_on = p.centred_on, lowest = p.lowest,
    highest = p.highest, at_least = p.at_least }
  require_data(p, report, key, bins)
  local c = compare.by_bin(s, v, bins, key)
  r:binned(c.bins)
  report:table("by bin", c)

  local compared = #v - c.bins.outside:count()
  report:value("records compared", compared, { unit = "1" })

  values(report, "records", c.through_origin.records, c.line.records)
  values(report, "bin means", c.through_origin.bin_means, c.line.bin_means)
  local records, means = c.through_origin.records, c.through_origin.bin_means
  local slope = records.slope
  if both then
    slope = both_axes.report(report, slope, both_axes.under(both, ~c.bins.outside))
  end
  figures(report, v, s, c, slope)
  if p.window > 0 then
    drift.report_windows(report, drift.windows(v, s, time, p.window), p.window, records.slope)
  end

  local b, not_whole = uncertainty(campaign, p, report, cup, c, time, taken)
  if taken then say_calibration(report, taken, s, air) end
  if b and not not_whole and not taken then hand_on(campaign, p, report, lidar, c, b, air) end
  local x = c.reference_mean
  report:require("slope_records", slope, slope_u(b, c, x * x * c.count, records.slope_u, not_whole))
  report:require("slope_bin_means", means.slope, slope_u(b, c, x * x, means.slope_u, not_whole))
  report:require("r2_centred_records", records.r2_centred, { scatter_only = SCATTER })
  report:require("r2_pearson_records", records.r2_pearson, { scatter_only = SCATTER })
  report:require("correlation_records", correlation(c.line.records), { scatter_only = SCATTER })
  local beyond = (s - v):abs():above(p.deviation, "m/s") & ~c.bins.outside
  report:require("share_beyond_deviation", 100 * beyond:count() / compared,
    { unit = "%", scatter_only = SCATTER })
  slope_difference(key, function(mask)
    if both then return both_axes.forced(both_axes.under(both, mask)).slope end
    return fit.through_origin(v:where(mask), s:where(mask)).slope
  end, report)
end

return check
