-- How far the deviation of the unit hangs on the conditions: information only.
-- IEC 61400-12-1 Annex L.2 / 61400-50-2, classification of remote sensing devices (recalled, check
-- your copy of the standard); formulas: practice/classification.lua. A sensitivity is marked where it
-- is significant.
--
-- Conditions hang together: a slope over one may be another's. A classification of a type needs
-- several units and sites; this is one unit at one.

local air            = require "practice.air"
local calibration    = require "practice.calibration"
local channels       = require "practice.channels"
local classification = require "practice.classification"
local exclusions     = require "practice.exclusions"
local shear          = require "practice.shear"
local turbulence     = require "practice.turbulence"

local SOURCE = "IEC 61400-12-1 Annex L.2"

local check = {
  title    = "Sensitivity of the deviation to conditions",
  does     = "Sorts the relative deviation of the unit by each condition that was measured (shear, "
          .. "turbulence, temperature, ...), fits a line through the bin means, and marks "
          .. "conditions on which it hangs. For information.",
  practice = "IEC 61400-12-1 Annex L.2 / IEC 61400-50-2, classification (recalled); information only",
  needs    = { "unit.wind_speed", "reference.wind_speed" },
  parameters = exclusions.parameters({
    height  = { 0, "m", "height that is compared (0: the only one, or the one marked primary)",
                source = "for the campaign to say" },
    lowest_speed  = { 4, "m/s", "lowest reference wind speed", source = SOURCE, evidence = "recalled" },
    highest_speed = { 16, "m/s", "highest reference wind speed", source = SOURCE, evidence = "recalled" },
    bins    = { 10, "1", "bins between the lowest and highest value of a condition",
                source = "own choice" },
    at_least = { 25, "records", "records that a bin needs", source = SOURCE, evidence = "recalled" },
    marked  = { 0.5, "%", "sensitivity that is marked", source = SOURCE, evidence = "recalled" },
    marked_with_r = { 0.1, "%", "sensitivity times correlation that is marked",
                      source = SOURCE, evidence = "recalled" },
  }, exclusions.USUAL),
}

-- Every condition that the reference can tell: { name, unit, column }.
local function conditions(r, cup)
  local list = {}
  local function add(name, unit, column)
    if column:count() > 0 then list[#list + 1] = { name, unit, column } end
  end
  local function mean_of(quantity)
    local c = channels.if_any(r.reference, quantity)
    return c and c.mean
  end
  add("wind speed", "m s-1", cup.mean)
  if cup:gives("sd") then add("turbulence intensity", "%", turbulence.intensity(cup.sd, cup.mean)) end
  local cups = channels.by_height(r.reference, "wind_speed")
  if #cups >= 2 then
    local low, top = cups[1], cups[#cups]
    local alpha = shear.exponent({ low.mean, top.mean }, { low.height, top.height })
    add("shear exponent", "1", alpha)
  end
  local vanes = channels.by_height(r.reference, "wind_from_direction")
  if #vanes >= 2 then
    local low, top = vanes[1], vanes[#vanes]
    add("veer", "degree m-1", shear.veer(top.mean, low.mean, top.height, low.height))
  end
  local t, b, rh = mean_of("air_temperature"), mean_of("air_pressure"), mean_of("relative_humidity")
  if t then add("air temperature", "degC", t) end
  if t and b then add("air density", "kg m-3", air.density(t, b, rh)) end
  local rain = mean_of("rainfall_rate")
  if rain then add("rainfall rate", "mm h-1", rain) end
  return list
end

-- Slope, correlation and sensitivity over one condition; nil where the bins do not tell.
local function over(p, e, x)
  local low, high = x:min(), x:max()
  if high <= low then return nil end
  local edges = {}
  for k = 0, p.bins do edges[k + 1] = low + (high - low) * k / p.bins end
  edges[#edges] = high + (high - low) * 1e-9 -- the last bin includes the highest value
  local b = bin.by(x, { edges = edges, at_least = p.at_least })
  local at, mean = b:mean(x), b:mean(e)
  if at:count() < 3 then return nil end
  local line = fit.line(at, mean)
  local r = math.sqrt(line.r2_pearson) * (line.slope < 0 and -1 or 1)
  return { slope = line.slope, slope_u = line.slope_u, r = r, bins = at:count(), sd = x:sd(),
           sensitivity = line.slope * x:sd(), at = at, mean = mean, error = b:standard_error(e) }
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local cup, lidar = channels.pair(r, "wind_speed", p.height)
  channels.say_heights(report, cup, lidar)
  calibration.say_not_applied(campaign, report, lidar)
  exclusions.usual(campaign, r, p, report, { cup.mean }, { lidar.mean }, { cup }, lidar)
  r:exclude(string.format("reference outside %g to %g m/s", p.lowest_speed, p.highest_speed),
    ~cup.mean:between(p.lowest_speed, p.highest_speed, "m/s"))
  local list = conditions(r, cup)
  local columns = {}
  for i, c in ipairs(list) do
    r:need(c[1], c[3])
    columns[i] = c[3]
  end
  local kept = { r:kept(cup.mean, lidar.mean, table.unpack(columns)) }
  local v, s = kept[1], kept[2]
  local e = ((s - v) / v):to("%")
  report:value("records compared", #v, { unit = "1" })
  report:value("mean deviation", e:mean(), { unit = "%" })
  report:value("sd of the deviation", e:sd(), { unit = "%" })

  local t = { {}, {}, {}, {}, {}, {}, {}, {} }
  for i, c in ipairs(list) do
    local o = over(p, e, kept[i + 2])
    if o then
      local n = #t[1] + 1
      local marked = classification.significant(o.sensitivity, o.r, p.marked, p.marked_with_r)
      local row = { c[1], c[2], o.bins, o.slope, o.r, o.sd, o.sensitivity, marked and "yes" or "no" }
      for k = 1, #row do t[k][n] = row[k] end
      report:figure("deviation by " .. c[1], {
        title = "Deviation by " .. c[1] .. ", means of bins with their statistical uncertainty (k = 1)",
        x = { label = c[1], unit = c[2] }, y = { label = "unit minus reference", unit = "%" },
        series = { { kind = "level", label = "no deviation", y = 0 },
                   { kind = "error", label = "mean of a bin", x = o.at, y = o.mean, u = o.error } },
      })
    else
      report:note(c[1] .. ": fewer than three bins with enough records")
    end
  end
  if #t[1] == 0 then undefined("no condition varies enough over the records") end
  report:table("sensitivities", { columns = {
    { name = "condition", values = t[1] }, { name = "unit of it", values = t[2] },
    { name = "bins", unit = "1", values = t[3] },
    { name = "slope, % per unit", values = t[4] }, { name = "correlation", unit = "1", values = t[5] },
    { name = "sd of the condition", values = t[6] },
    { name = "sensitivity", unit = "%", values = t[7] }, { name = "marked", values = t[8] },
  } })
  report:note("for information: conditions hang together, and one unit at one site is no classification")
end

return check
