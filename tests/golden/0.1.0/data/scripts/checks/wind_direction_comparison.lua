-- Wind direction of the unit against the reference's vane.
-- Differences are taken on the circle; the free fit is made on unwrapped pairs, for a
-- regression of raw 0..360 values near north means nothing.

local channels   = require "practice.channels"
local exclusions = require "practice.exclusions"

local check = {
  title    = "Wind direction against the reference",
  practice = "common practice: circular difference, free fit on unwrapped pairs",
  needs    = { "unit.wind_from_direction", "reference.wind_from_direction" },
  parameters = exclusions.parameters({
    lowest   = { 2, "m/s", "lowest reference wind speed",
                 source = "floating-lidar roadmap", evidence = "recalled" },
    records  = { 600, "records", "records that are needed",
                 source = "practice of a test laboratory", evidence = "recalled" },
    sector   = { 30, "degree", "width of the sectors of the table, centred on multiples" },
  }, { "availability", "icing_below", "icing_above", "stuck" }),
}

local SCATTER = "scatter of the records only: the vane's and the heading's uncertainty are not in it"

local function exclude(campaign, r, p, report, vane, lidar)
  exclusions.missing(r, vane, lidar)
  exclusions.availability(r, report, lidar, p.availability)
  local cup = channels.if_any(r.reference, "wind_speed")
  if cup then
    r:exclude(string.format("reference below %g m/s", p.lowest), cup.mean:below(p.lowest, "m/s"))
  else
    report:note("the reference has no wind speed: calm intervals are not excluded")
  end
  exclusions.icing(r, report, p.icing_below, p.icing_above)
  exclusions.stuck(r, p.stuck)
  exclusions.disturbed(campaign, r, report)
end

-- A unit whose heading nobody measured: its directions are turned by what makes them agree with the
-- reference on average. Gives the turned ones; what is left to judge is the slope and the scatter.
local function fit_heading(report, d, l)
  local off = circular.difference(d, l)
  local heading = circular.mean(off)
  report:value("fitted heading", heading, { unit = "degree",
    u = circular.sd(off) / math.sqrt(off:effective_count()),
    text = "added to the unit's directions; u: scatter" })
  report:note("the heading of the unit is fitted to the reference: an offset of its directions is not tested")
  return l + { heading, "degree" }
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local vane = channels.main(r.reference, "wind_from_direction")
  local lidar = channels.main(r.unit, "wind_from_direction")
  channels.say_heights(report, vane, lidar)
  exclude(campaign, r, p, report, vane, lidar)

  local d, l = r:kept(vane.mean, lidar.mean)
  local fitted = campaign.lidar.heading == "fit"
  if fitted then l = fit_heading(report, d, l) end
  local difference = circular.difference(l, d)
  local offset, spread = circular.mean(difference), circular.sd(difference)
  if offset > 180 then offset = offset - 360 end
  local offset_u = spread / math.sqrt(difference:effective_count())
  local line = fit.line(d, d + difference)

  report:value("records compared", #d, { unit = "1" })
  if not fitted then report:value("offset", offset, { unit = "degree", u = offset_u }) end
  report:value("circular standard deviation", spread, { unit = "degree" })
  report:value("free slope", line.slope, { unit = "1", u = line.slope_u })
  report:value("free intercept", line.intercept, { unit = "degree", u = line.intercept_u })
  report:value("r2 Pearson", line.r2_pearson, { unit = "1" })
  if #d < p.records then
    report:inconclusive(string.format("%d records, %g needed", #d, p.records))
  end

  local by = bin.by(d, { width = p.sector, centred_on = p.sector / 2, lowest = p.sector / 2,
    highest = 360 - p.sector / 2, at_least = 3 })
  report:table("by sector", { columns = {
    { name = "sector centre", unit = "degree", values = by.centre },
    { name = "records", unit = "1", values = by.count },
    { name = "mean difference", unit = "degree", values = by:mean(difference) },
    { name = "standard deviation", unit = "degree", values = by:sd(difference) },
    { name = "standard error", unit = "degree", values = by:standard_error(difference) },
  } })
  report:figure("difference by direction", {
    title = "Difference of direction, unit minus reference",
    x = { label = "reference wind direction", unit = "degree" },
    y = { label = "difference", unit = "degree" },
    series = {
      { kind = "points", label = "records", x = d, y = difference },
      { kind = "level", label = "offset", y = offset },
      { kind = "error", label = "mean of a sector", x = by.centre, y = by:mean(difference),
        u = by:standard_error(difference) },
    },
  })

  if not fitted then
    report:require("offset", math.abs(offset), { unit = "degree", u = offset_u,
      scatter_only = SCATTER })
  end
  report:require("slope", line.slope, { u = line.slope_u, scatter_only = SCATTER })
  report:require("r2_pearson", line.r2_pearson, { scatter_only = SCATTER })
end

return check
