-- The exclusions that most comparisons share, with their parameters: what is left out before unit
-- and reference are compared, in the order of IEC 61400-50-2 practice: reference, unit,
-- surroundings. None looks at the deviation itself. Each is made under its own reason; what cannot
-- be judged for lack of an instrument is said in a note, never passed over.

local channels = require "practice.channels"
local filters  = require "practice.filters"
local sectors  = require "practice.sectors"

local exclusions = {}

local shared = {
  availability = { 80, "%", "least share of the expected samples of the unit in an interval",
                   source = "common practice, no source", evidence = "recalled" },
  icing_below = { 2, "degC", "icing is possible below this temperature", tolerance = 1,
                  source = "common practice, no source", evidence = "recalled" },
  icing_above = { 80, "%", "and above this relative humidity",
                  source = "common practice, no source", evidence = "recalled" },
  stuck = { 6, "intervals", "equal directions one after another that tell a stuck vane",
            source = "common practice, no source", evidence = "recalled" },
}

--- A check's own parameters with the named shared ones beside them.
function exclusions.parameters(own, names)
  for _, name in ipairs(names) do own[name] = shared[name] end
  return own
end

--- Intervals in which the reference's or the unit's channel has no value.
function exclusions.missing(r, reference, unit)
  r:exclude("reference missing", reference.mean:missing())
  r:exclude("unit missing", unit.mean:missing())
end

--- Intervals in which the unit gave fewer than `least` percent of its samples.
function exclusions.availability(r, report, unit, least)
  if unit:gives("availability") then
    r:exclude(string.format("unit availability below %g %%", least),
      unit.availability:below(least, "%"))
  else
    report:note("the unit's files give no sample counts: its availability is not judged")
  end
end

--- Intervals in which the reference's instruments may be iced; one that cannot be judged is kept.
function exclusions.icing(r, report, below, above)
  local t = channels.if_any(r.reference, "air_temperature")
  local rh = channels.if_any(r.reference, "relative_humidity")
  if t and rh then
    r:exclude("icing possible", filters.icing(t.mean, rh.mean, below, above),
      { unknown = "keep" })
  else
    report:note("the reference has no temperature and humidity: icing is not excluded")
  end
end

--- Intervals with the wind from a disturbed sector, by the reference's vane. `options` as in
--- r:exclude.
function exclusions.disturbed(campaign, r, report, options)
  local vane = channels.if_any(r.reference, "wind_from_direction")
  if not vane then
    report:note("the reference has no wind direction: disturbed sectors are not excluded")
    return
  end
  local disturbed = sectors.disturbed(campaign, vane.mean)
  if disturbed then
    r:exclude("disturbed sector", disturbed, options)
  else
    report:note("the campaign names no disturbed sector")
  end
end

--- Intervals in which the reference's vane is stuck; one that cannot be judged is kept.
function exclusions.stuck(r, n)
  local vane = channels.if_any(r.reference, "wind_from_direction")
  if vane then
    r:exclude("vane stuck", filters.stuck(vane.mean, n), { unknown = "keep" })
  end
end

local function any_missing(list)
  local mask
  for _, column in ipairs(list) do
    mask = mask and (mask | column:missing()) or column:missing()
  end
  return mask
end

--- The shared parameters that `usual` reads.
exclusions.USUAL = { "availability", "icing_below", "icing_above", "stuck" }

--- All of the above for a check that needs several columns of each side: `reference` and `unit` are
--- lists of columns, `channel` is the unit's channel whose availability is judged.
function exclusions.usual(campaign, r, p, report, reference, unit, channel)
  r:exclude("reference missing", any_missing(reference))
  r:exclude("unit missing", any_missing(unit))
  exclusions.availability(r, report, channel, p.availability)
  exclusions.icing(r, report, p.icing_below, p.icing_above)
  exclusions.stuck(r, p.stuck)
  exclusions.disturbed(campaign, r, report)
end

return exclusions
