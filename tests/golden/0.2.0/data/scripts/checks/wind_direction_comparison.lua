-- Wind direction of the unit against the reference's vane.
-- Differences are taken on the circle; the free fit is made on unwrapped pairs, for a
-- regression of raw 0..360 values near north means nothing. Where reference and unit state what they
-- scatter by themselves, that fit has errors on both axes (practice/both_axes.lua).
-- The offset has a whole uncertainty where the campaign states that of the reference's orientation:
-- the reference's chain and the scatter. How the unit was set up is part of what is judged.

local both_axes   = require "practice.both_axes"
local calibration = require "practice.calibration"
local channels    = require "practice.channels"
local exclusions  = require "practice.exclusions"
local reference   = require "practice.reference"

local check = {
  title    = "Wind direction against the reference",
  does     = "Compares the directions on the circle: offset with its uncertainty, scatter, and a "
          .. "line through unwrapped pairs.",
  practice = "common practice: circular difference, free fit on unwrapped pairs",
  needs    = { "unit.wind_from_direction", "reference.wind_from_direction" },
  parameters = exclusions.parameters({
    height   = { 0, "m", "height that is compared (0: the only one, or the one marked primary)",
                 source = "for the campaign to say" },
    lowest   = { 2, "m/s", "lowest reference wind speed", tolerance = 1,
                 source = "floating-lidar roadmap", evidence = "recalled" },
    records  = { 600, "records", "records that are needed",
                 source = "practice of a test laboratory", evidence = "recalled" },
    sector   = { 30, "degree", "width of the sectors of the table, centred on multiples",
                 source = "own choice" },
  }, exclusions.USUAL),
}

local SCATTER = "scatter of the records only: the vane's and the heading's uncertainty are not in it"

local function exclude(campaign, r, p, report, vane, lidar)
  exclusions.missing(r, vane, lidar)
  exclusions.availability(r, report, lidar, p.availability)
  if reference.is_lidar(campaign, vane) then
    exclusions.reference_availability(r, report, vane, p.availability)
  end
  local cup = channels.if_any(r.reference, "wind_speed")
  if cup then
    r:exclude(string.format("reference below %g m/s", p.lowest), cup.mean:below(p.lowest, "m/s"))
  else
    report:note("the reference has no wind speed: calm intervals are not excluded")
  end
  exclusions.icing(r, report, p)
  exclusions.instruments(r, report, p, { cup })
  exclusions.disturbed(campaign, r, report, p.sector_margin)
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

-- The whole uncertainty of the offset, or nil where the reference's orientation has none. The
-- reference's effects are the same in all records.
local function offset_budget(campaign, report, vane, records, scatter)
  local chain = reference.components(campaign, vane, column.new({ 0 }, "degree"), records)
  if not chain then return nil end
  for _, effect in ipairs(chain.not_stated) do
    if effect == "mounting" then return nil end
    report:note("the campaign states no uncertainty of the reference's " .. effect)
  end
  local b = budget.new(1, { unit = "degree" })
  b:include(chain)
  b:add("statistical", scatter, { kind = "A", source = "scatter over the root of the effective number" })
  report:table("components of the offset", b:components())
  return b:at(1)
end

-- A unit that is blind to the sign of the speed takes the wind for its opposite now and then. Such
-- records stay in: how often it happens is a property of the unit.
local function turned_around(report, difference)
  local n = difference:abs():above(90, "degree"):count()
  if n == 0 then return end
  report:value("records turned around", n, { unit = "1", text = "differ by more than 90 degrees" })
  report:note(string.format("%d records differ from the vane by more than 90 degrees: is the unit blind "
    .. "to the sign of the speed, or the vane stuck? They are in the offset and the scatter", n))
end

-- The free line of unwrapped pairs, with errors on both axes where both scatters are stated.
local function free_line(campaign, report, vane, lidar, d, l)
  local u_x, u_y = both_axes.stated(campaign, vane, lidar, d, l)
  if not (u_x and u_y) then return fit.line(d, l) end
  local york = fit.york(d, l, { u_x = u_x, u_y = u_y })
  local widen = math.max(1, math.sqrt(york.chi2 / york.dof))
  report:note("the reference scatters by itself: the free slope has errors on both axes (York)")
  return { slope = york.slope, slope_u = york.slope_u * widen, intercept = york.intercept,
           intercept_u = york.intercept_u * widen, r2_pearson = fit.line(d, l).r2_pearson }
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local vane, lidar = channels.pair(r, "wind_from_direction", p.height)
  channels.say_heights(report, vane, lidar)
  calibration.say_not_applied(campaign, report, lidar)
  exclude(campaign, r, p, report, vane, lidar)

  local d, l, time = r:kept(vane.mean, lidar.mean, r.time)
  report:coverage("records", { records = d, at_least = p.records })
  local fitted = campaign.lidar.heading == "fit"
  if fitted then l = fit_heading(report, d, l) end
  local difference = circular.difference(l, d)
  r:compared(l, d, difference)
  local offset, spread = circular.mean(difference), circular.sd(difference)
  if offset > 180 then offset = offset - 360 end
  local offset_u = spread / math.sqrt(difference:effective_count())
  local line = free_line(campaign, report, vane, lidar, d, d + difference)

  report:value("records compared", #d, { unit = "1" })
  if not fitted then report:value("offset", offset, { unit = "degree", u = offset_u }) end
  turned_around(report, difference)
  report:value("circular standard deviation", spread, { unit = "degree" })
  report:value("free slope", line.slope, { unit = "1", u = line.slope_u })
  report:value("free intercept", line.intercept, { unit = "degree", u = line.intercept_u })
  report:value("r2 Pearson", line.r2_pearson, { unit = "1" })

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
    -- one bin of all records: which of several vanes measured how many
    local all = { bins = bin.by(d, { edges = { 0, 360 } }), time = time }
    local whole = offset_budget(campaign, report, vane, all, offset_u)
    report:require("offset", math.abs(offset), whole and { unit = "degree", u = whole }
      or { unit = "degree", u = offset_u, scatter_only = SCATTER })
  end
  report:require("slope", line.slope, { u = line.slope_u, scatter_only = SCATTER })
  report:require("r2_pearson", line.r2_pearson, { scatter_only = SCATTER })
end

return check
