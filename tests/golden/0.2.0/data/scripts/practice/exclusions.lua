-- The exclusions that most comparisons share, with their parameters: what is left out before unit
-- and reference are compared, in the order of IEC 61400-50-2 practice: reference, unit,
-- surroundings. None looks at the deviation itself. Each is made under its own reason; what cannot
-- be judged for lack of an instrument is said in a note, never passed over. Filters that practice
-- leaves to the laboratory are there with a neutral default: agree on them before the data. Spikes
-- are looked for in the reference alone: what the unit does wrong is what is tested.

local channels = require "practice.channels"
local filters  = require "practice.filters"
local sectors  = require "practice.sectors"

local exclusions = {}

local COMMON = "common practice, no source"

local shared = {
  availability = { 80, "%", "least share of the expected samples of the unit in an interval",
                   tolerance = 10, source = COMMON, evidence = "recalled" },
  icing_below = { 2, "degC", "icing is possible below this temperature, where it is humid",
                  tolerance = 1,
                  source = COMMON, evidence = "recalled" },
  icing_above = { 80, "%", "icing is possible above this relative humidity, where it is cold",
                  tolerance = 10,
                  source = COMMON, evidence = "recalled" },
  icing_until = { 3, "degC", "with icing_hours: icing stays possible until it has been warmer than this",
                  source = COMMON, evidence = "recalled" },
  icing_hours = { 0, "h", "hours in succession above icing_until that end icing, 1 to 2 in practice; "
                  .. "0: it ends at once",
                  tolerance = "50 %", source = COMMON, evidence = "recalled" },
  stuck = { 6, "intervals", "equal directions one after another that tell a stuck vane",
            tolerance = 2, source = COMMON, evidence = "recalled" },
  stuck_cup = { 0, "intervals", "equal means one after another that tell a stuck cup, 3 in practice; "
                .. "0: not judged", source = COMMON, evidence = "recalled" },
  flat_sd = { 0, "m/s", "standard deviation below which a cup is a flat line, 0.01 in practice; 0: not "
              .. "judged", tolerance = "50 %", source = COMMON, evidence = "recalled" },
  flat_above = { 2, "m/s", "speed above which a cup is judged as stuck or flat",
                 source = COMMON, evidence = "recalled" },
  spike_window = { 0, "intervals", "window, an odd number, in which a spike of a cup is told; 0: not judged",
                   source = COMMON, evidence = "recalled" },
  spike_times = { 5, "1", "distance from the window's median that is a spike, in standard deviations by "
                  .. "its median absolute deviation", source = COMMON, evidence = "recalled" },
  precipitation = { 0, "mm/h", "rainfall rate above which an interval is left out, only where use leaves "
                    .. "it out as well; 0: kept", tolerance = "50 %", source = "IEC 61400-12-1 Annex L",
                    evidence = "recalled" },
  sector_margin = { 0, "degree", "by which every disturbed sector is widened, on both sides", tolerance = 10,
                    source = "for the campaign to say" },
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

--- The same of a reference that may be absent as the unit may: a lidar.
function exclusions.reference_availability(r, report, reference, least)
  if reference:gives("availability") then
    r:exclude(string.format("reference availability below %g %%", least),
      reference.availability:below(least, "%"))
  else
    report:note("the reference's files give no sample counts: its availability is not judged")
  end
end

-- Of a campaign whose intervals are `interval` seconds long.
local function intervals_in(hours, interval)
  return math.max(1, math.ceil(hours * 3600 / interval))
end

--- The mask of icing by the parameters in `p`, or nil where the reference does not measure
--- temperature and humidity.
function exclusions.icing_mask(r, p)
  local t = channels.if_any(r.reference, "air_temperature")
  local rh = channels.if_any(r.reference, "relative_humidity")
  if not (t and rh) then return nil end
  local thaw = p.icing_hours > 0
    and { above = p.icing_until, held = intervals_in(p.icing_hours, r.interval) } or nil
  return filters.icing(t.mean, rh.mean, p.icing_below, p.icing_above, thaw)
end

--- Intervals in which the reference's instruments may be iced; one that cannot be judged is kept.
function exclusions.icing(r, report, p)
  local icing = exclusions.icing_mask(r, p)
  if icing then
    r:exclude("icing possible", icing, { unknown = "keep" })
  else
    report:note("the reference has no temperature and humidity: icing is not excluded")
  end
end

--- Intervals with the wind from a disturbed sector widened by `margin` degrees on both sides, by the
--- reference's vane. `options` as in r:exclude.
function exclusions.disturbed(campaign, r, report, margin, options)
  local vane = channels.if_any(r.reference, "wind_from_direction")
  if not vane then
    report:note("the reference has no wind direction: disturbed sectors are not excluded")
    return
  end
  local disturbed = sectors.disturbed(campaign, vane.mean, margin)
  if disturbed then
    r:exclude("disturbed sector", disturbed, options)
  else
    report:note("the campaign names no disturbed sector")
  end
end

--- Where a cup shows the same mean, or none of the wind's unrest, while the wind blows; nil where
--- neither is judged.
function exclusions.cup_stuck(cup, p)
  local mask = p.stuck_cup > 0
    and filters.stuck(cup.mean, p.stuck_cup) & cup.mean:above(p.flat_above, "m/s") or nil
  if p.flat_sd > 0 and cup:gives("sd") then
    local flat = filters.flat(cup.sd, cup.mean, p.flat_sd, p.flat_above)
    mask = mask and mask | flat or flat
  end
  return mask
end

local function any(list, judge)
  local mask
  for _, cup in ipairs(list) do
    local one = judge(cup)
    mask = mask and one and mask | one or mask or one
  end
  return mask
end

local function rain(r, report, above)
  local rate = channels.if_any(r.reference, "rainfall_rate")
  if rate then
    r:exclude(string.format("rainfall rate above %g mm/h", above),
      filters.precipitation(rate.mean, above), { unknown = "keep" })
  else
    report:note("the reference has no rainfall rate: precipitation is not excluded")
  end
end

--- Intervals in which the reference's vane is stuck and, where the parameters ask for it, one of its
--- `cups` (a list of channels) is stuck or has a spike, or it rains. What cannot be judged is kept.
function exclusions.instruments(r, report, p, cups)
  local keep, vane = { unknown = "keep" }, channels.if_any(r.reference, "wind_from_direction")
  if vane then r:exclude("vane stuck", filters.stuck(vane.mean, p.stuck), keep) end
  local stuck = any(cups, function(cup) return exclusions.cup_stuck(cup, p) end)
  if stuck then r:exclude("cup stuck", stuck, keep) end
  if p.spike_window > 0 then
    local function spike(cup) return filters.spike(cup.mean, p.spike_window, p.spike_times) end
    local spikes = any(cups, spike)
    if spikes then r:exclude("spike of the reference", spikes, keep) end
  end
  if p.precipitation > 0 then rain(r, report, p.precipitation) end
end

local function any_missing(list)
  local mask
  for _, column in ipairs(list) do
    mask = mask and (mask | column:missing()) or column:missing()
  end
  return mask
end

--- The shared parameters that `icing` and `disturbed` read, and those that a comparison takes.
exclusions.SURROUNDINGS = { "icing_below", "icing_above", "icing_until", "icing_hours", "sector_margin" }
exclusions.USUAL = { "availability", "icing_below", "icing_above", "icing_until", "icing_hours", "stuck",
                     "stuck_cup", "flat_sd", "flat_above", "spike_window", "spike_times",
                     "precipitation", "sector_margin" }

--- All of the above for a check that needs several columns of each side: `reference` and `unit` are
--- lists of columns, `cups` a list of the reference's channels of wind speed, `channel` is the unit's
--- channel whose availability is judged.
function exclusions.usual(campaign, r, p, report, reference, unit, cups, channel)
  r:exclude("reference missing", any_missing(reference))
  r:exclude("unit missing", any_missing(unit))
  exclusions.availability(r, report, channel, p.availability)
  exclusions.icing(r, report, p)
  exclusions.instruments(r, report, p, cups)
  exclusions.disturbed(campaign, r, report, p.sector_margin)
end

return exclusions
