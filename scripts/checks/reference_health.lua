-- Can the reference be trusted? Control cup against primary cup, vane against second vane, stuck
-- and iced sensors, validity of the certificates, and slopes that tell of a calibration that went
-- in twice, or not at all.
-- The in-situ comparison of the cups follows IEC 61400-12-1 Annex K as recalled (check your copy):
-- the line of control on primary in the first part of the campaign, applied to the rest; by bin,
-- the root of the squares of systematic and statistical deviation from 6 to 12 m/s is at most
-- 0.1 m/s. Whether it is, criteria decide.

local certificates = require "practice.certificates"
local channels     = require "practice.channels"
local exclusions   = require "practice.exclusions"
local filters      = require "practice.filters"
local sectors      = require "practice.sectors"

local TRADE, RECALLED = "common practice, no source", "IEC 61400-12-1 Annex K"

local check = {
  title    = "State of the reference",
  does     = "Looks for what is wrong with the reference: stuck and iced cups and vanes, a control "
          .. "cup that moves against the primary one, two vanes that disagree, certificates that "
          .. "are not valid, slopes that tell of a calibration that went in twice or not at all.",
  practice = "in-situ comparison of IEC 61400-12-1 Annex K (recalled); rules for stuck and iced "
          .. "sensors: common practice, no source",
  needs    = { "reference.wind_speed" },
  parameters = exclusions.parameters({
    first_part = { 50, "%", "part of the common records that gives the cups' line", tolerance = 10,
                   source = "Annex K asks for a first period; that it is half is our own choice",
                   evidence = "recalled" },
    lowest   = { 6, "m/s", "lowest bin centre of the in-situ comparison",
                 source = RECALLED, evidence = "recalled" },
    highest  = { 12, "m/s", "highest bin centre of the in-situ comparison", source = RECALLED, evidence = "recalled" },
    width    = { 1, "m/s", "width of a bin of the in-situ comparison", source = RECALLED, evidence = "recalled" },
    at_least = { 3, "records", "records that a bin needs", source = TRADE, evidence = "recalled" },
    flat_sd  = { 0.01, "m/s", "standard deviation below which a cup is a flat line; 0: not judged",
                 tolerance = "50 %",
                 source = TRADE, evidence = "recalled" },
    flat_above = { 2, "m/s", "speed above which a cup is judged as stuck or flat", tolerance = 1,
                   source = TRADE, evidence = "recalled" },
    stuck_cup  = { 3, "intervals", "equal means of a cup one after another that tell it is stuck; 0: not judged",
                   tolerance = 1,
                   source = TRADE, evidence = "recalled" },
    stuck_vane = { 6, "intervals", "equal directions of a vane one after another", tolerance = 2,
                   source = TRADE, evidence = "recalled" },
    slope_near = { 1, "%", "how near a slope lies to a suspect ratio to be named", tolerance = "50 %",
                   source = "own choice" },
  }, exclusions.SURROUNDINGS),
}

local SCATTER = "scatter of the records only"

-- ---- each sensor alone ---------------------------------------------------------------------------

local function cup_stuck(c, p)
  local absent = c.mean:missing()
  return exclusions.cup_stuck(c, p) or absent & ~absent -- judged by neither rule: false everywhere
end

-- Stuck intervals of every cup and vane, those in which icing was possible among them.
local function sensors(r, p, report, icing)
  local hour = r.interval / 3600
  local name, there, gone, stuck, iced, any = {}, {}, {}, {}, {}, nil
  local function take(c, mask)
    local n = #name + 1
    name[n], stuck[n] = tostring(c), mask:count() * hour
    there[n] = (~c.mean:missing()):count() * hour
    gone[n] = c.mean:missing():count() * hour
    iced[n] = icing and (mask & icing):count() * hour or missing
    any = any and (any | mask) or mask
  end
  for _, c in ipairs(r.reference:all{ quantity = "wind_speed" }) do take(c, cup_stuck(c, p)) end
  for _, c in ipairs(r.reference:all{ quantity = "wind_from_direction" }) do
    take(c, filters.stuck(c.mean, p.stuck_vane))
  end
  report:table("sensors", { columns = {
    { name = "channel", values = name },
    { name = "hours with data", unit = "h", values = there },
    { name = "hours without", unit = "h", values = gone },
    { name = "hours stuck", unit = "h", values = stuck },
    { name = "of these with icing possible", unit = "h", values = iced },
  } })
  report:require("hours_stuck", any:count() * hour,
    { unit = "h", u = 0, source = "a count, no uncertainty" })
  return any
end

-- ---- two cups ------------------------------------------------------------------------------------

-- The line of the first part, and the rest against it by bin.
local function in_situ(p, report, primary, control)
  local n = math.floor(#primary * p.first_part / 100)
  local place = {}
  for i = 1, #primary do place[i] = i end
  local first = column.new(place):below(n + 0.5)
  local line = fit.line(primary:where(first), control:where(first))
  local x, y = primary:where(~first), control:where(~first)
  local off = y - (x * line.slope + { line.intercept, "m/s" })
  local b = bin.by(x, { width = p.width, lowest = p.lowest, highest = p.highest,
    at_least = p.at_least })
  local systematic, statistical = b:mean(off), b:standard_error(off)
  local both = (systematic * systematic + statistical * statistical):sqrt()
  report:table("in-situ comparison", { columns = {
    { name = "bin centre", values = b.centre },
    { name = "records", unit = "1", values = b.count },
    { name = "mean deviation", values = systematic },
    { name = "standard error", values = statistical },
    { name = "root of the squares", values = both },
  } })
  report:value("cups, slope of the first part", line.slope, { unit = "1", u = line.slope_u })
  report:value("cups, intercept of the first part", line.intercept,
    { unit = "m s-1", u = line.intercept_u })
  if both:count() == 0 then
    report:note("no bin of the in-situ comparison has enough records")
    return
  end
  report:require("in_situ_deviation", both:max(), { unit = "m s-1", u = 0,
    source = "the statistical part is in it (Annex K, recalled)" })
end

local function exclude(campaign, account, p, icing, bad, direction)
  account:exclude("a sensor is stuck", bad, { unknown = "keep" })
  if icing then account:exclude("icing possible", icing, { unknown = "keep" }) end
  local disturbed = direction and sectors.disturbed(campaign, direction, p.sector_margin)
  if disturbed then account:exclude("disturbed sector", disturbed, { unknown = "keep" }) end
end

local function cups(campaign, p, report, primary, icing, bad, direction)
  local r = campaign.intervals
  local controls = r.reference:all{ quantity = "wind_speed", use = "control" }
  exclude(campaign, r, p, icing, bad, direction)
  if #controls == 0 then
    report:note("the reference has no control anemometer: no in-situ comparison")
    return nil
  end
  if #controls > 1 then
    report:note("several control anemometers: compared is " .. tostring(controls[1]))
  end
  local control = controls[1]
  r:exclude("primary missing", primary.mean:missing())
  r:exclude("control missing", control.mean:missing())
  local v, c = r:kept(primary.mean, control.mean)
  r:compared(c, v)
  local forced = fit.through_origin(v, c)
  report:value("cups, records", #v, { unit = "1" })
  report:value("cups, forced slope", forced.slope, { unit = "1", u = forced.slope_u })
  report:value("cups, sd of the difference", (c - v):sd(), { unit = "m s-1" })
  report:require("cup_slope", forced.slope, { u = forced.slope_u, scatter_only = SCATTER })
  in_situ(p, report, v, c)
  return forced.slope
end

-- ---- two vanes -----------------------------------------------------------------------------------

local function vanes(campaign, p, report, icing, bad)
  local all = campaign.intervals.reference:all{ quantity = "wind_from_direction" }
  if #all < 2 then
    report:note("the reference has no second vane")
    return
  end
  local first = channels.main(campaign.intervals.reference, "wind_from_direction")
  local second = tostring(all[1]) == tostring(first) and all[2] or all[1]
  local r = campaign:account("vanes")
  exclude(campaign, r, p, icing, bad, first.mean)
  r:exclude("first vane missing", first.mean:missing())
  r:exclude("second vane missing", second.mean:missing())
  local a, b = r:kept(first.mean, second.mean)
  local off = circular.difference(b, a)
  r:compared(b, a, off)
  local mean = circular.difference(circular.mean(off), 0)
  local u = off:sd() / math.sqrt(off:effective_count())
  report:value("vanes, records", #a, { unit = "1" })
  report:value("vanes, mean difference", mean, { unit = "degree", u = u })
  report:value("vanes, sd of the difference", circular.sd(off), { unit = "degree" })
  report:require("vane_difference", math.abs(mean),
    { unit = "degree", u = u, scatter_only = SCATTER })
end

-- ---- certificates --------------------------------------------------------------------------------

-- Slopes between anemometers, by name: control on primary, unit on primary.
local function slopes(r, primary, cup_slope)
  local list = {}
  if cup_slope then list[1] = { "control on primary", cup_slope } end
  if #r.unit:all{ quantity = "wind_speed" } > 0 then
    local _, unit = channels.pair(r, "wind_speed", 0)
    if (~(primary.mean:missing() | unit.mean:missing())):count() >= 2 then
      list[#list + 1] = { "unit on primary", fit.through_origin(primary.mean, unit.mean).slope }
    end
  end
  return list
end

local function paper(campaign, p, report, primary, cup_slope)
  local list = certificates.list(campaign)
  if #list == 0 then
    report:note("the campaign names no instruments: certificates are not checked")
    return
  end
  local t = { {}, {}, {}, {}, {}, {} }
  local not_valid, suspicions = 0, 0
  local found = slopes(campaign.intervals, primary, cup_slope)
  for i, f in ipairs(list) do
    local c = f.calibration or {}
    local row = { f.place, f.serial, c.certificate or missing, c.date or missing,
                  c.valid_to or missing, f.state }
    for k = 1, #row do t[k][i] = row[k] end
    if f.state ~= "valid" then not_valid = not_valid + 1 end
    for _, s in ipairs(found) do
      for _, text in ipairs(certificates.near(s[2], f, p.slope_near / 100)) do
        suspicions = suspicions + 1
        report:note(string.format("the slope of %s, %.4f, is near %s", s[1], s[2], text))
      end
    end
  end
  report:table("certificates", { columns = {
    { name = "place", values = t[1] }, { name = "serial", values = t[2] },
    { name = "certificate", values = t[3] }, { name = "date", values = t[4] },
    { name = "valid to", values = t[5] }, { name = "state", values = t[6] },
  } })
  report:require("certificates_not_valid", not_valid, { u = 0, source = "a count" })
  report:require("suspicious_slopes", suspicions, { u = 0, source = "a count" })
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local icing = exclusions.icing_mask(r, p)
  if icing then
    report:value("hours with icing possible", icing:count() * r.interval / 3600, { unit = "h" })
  else
    report:note("the reference has no temperature and humidity: icing is not judged")
  end
  local primary = channels.main(r.reference, "wind_speed")
  local bad = sensors(r, p, report, icing)
  local vane = channels.if_any(r.reference, "wind_from_direction")
  local cup_slope = cups(campaign, p, report, primary, icing, bad, vane and vane.mean)
  vanes(campaign, p, report, icing, bad)
  paper(campaign, p, report, primary, cup_slope)
end

return check
