-- How much of the time did the unit give data?
-- Three denominators, all stated: the calendar, the intervals in which the unit was on, and the
-- intervals in which the reference was valid. Which of them a contract means is for the
-- contract to say.

local channels = require "practice.channels"

local check = {
  title    = "Availability of the unit, by day",
  does     = "Counts by day the intervals in which the unit gave enough samples, as a share of the "
          .. "calendar, of the intervals in which it was on, and of those in which the reference "
          .. "was valid.",
  practice = "common practice, no source; names of the ratios as in the floating-lidar roadmap",
  needs    = { "unit.wind_speed" },
  parameters = {
    valid  = { 80, "%", "least share of the expected samples for an interval to count as valid",
               tolerance = 10, source = "common practice, no source", evidence = "recalled" },
    height = { 0, "m", "height that is looked at (0: the only one, or the reference's)",
               source = "for the campaign to say" },
  },
}

local function share(part, whole)
  if whole == 0 then return missing end
  return 100 * part / whole
end

-- A share never stands without its counts.
local function report_share(report, name, part, whole)
  if whole == 0 then return end
  report:value(name, share(part, whole),
    { unit = "%", text = string.format("%d of %d intervals", part, whole) })
end

-- The unit's channel and, where there is a reference, its channel: that of the height, if it has it.
local function pair(r, height)
  if #r.reference:all{ quantity = "wind_speed" } == 0 then
    return channels.at(r.unit, "wind_speed", height)
  end
  if height ~= 0 and #r.reference:all{ quantity = "wind_speed", height = height } == 0 then
    return channels.at(r.unit, "wind_speed", height), channels.main(r.reference, "wind_speed")
  end
  local cup, lidar = channels.pair(r, "wind_speed", height)
  return lidar, cup
end

-- Intervals in which the unit was on, and those of them with enough samples: nil where the files
-- say nothing of samples, for then a mean is all that is known.
local function states(lidar, least, report)
  local on = lidar:gives("count") and lidar.count:above(0) or ~lidar.mean:missing()
  if not lidar:gives("count") then
    report:note("the unit's files give no sample counts: it was on where there is a mean")
  end
  if not lidar:gives("availability") then
    report:note("the unit's files do not give the share of the samples: valid data are not tested")
    return on, nil
  end
  return on, lidar.availability:above(least, "%") | lidar.availability:equals(least, "%")
end

-- Each share by day, missing where it is not known.
local function by_day(report, r, on, valid, reference)
  local date, calendar, on_d, valid_d, both_d = {}, {}, {}, {}, {}
  for i, day in ipairs(r:days()) do
    date[i], calendar[i] = day.date, day.mask:count()
    on_d[i], valid_d[i], both_d[i] = share((on & day.mask):count(), calendar[i]), missing, missing
    if valid then valid_d[i] = share((valid & day.mask):count(), calendar[i]) end
    if valid and reference then
      both_d[i] = share((valid & reference & day.mask):count(), (reference & day.mask):count())
    end
  end
  report:table("by day", { columns = {
    { name = "day", values = date },
    { name = "intervals", unit = "1", values = calendar },
    { name = "unit on", unit = "%", values = on_d },
    { name = "valid", unit = "%", values = valid_d },
    { name = "valid, of valid reference", unit = "%", values = both_d },
  } })
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local lidar, cup = pair(r, p.height)
  local on, valid = states(lidar, p.valid, report)
  local reference = cup and ~cup.mean:missing() or nil
  local on_n, all = on:count(), #r
  if p.height ~= 0 then report:value("height looked at", p.height, { unit = "m" }) end
  report_share(report, "system availability, of the calendar", on_n, all)
  if valid then
    local n = valid:count()
    report_share(report, "valid data, of the calendar", n, all)
    report_share(report, "valid data, of the intervals with the unit on", n, on_n)
  end
  if valid and reference then
    report_share(report, "valid data, of the intervals with a valid reference",
      (valid & reference):count(), reference:count())
  end
  by_day(report, r, on, valid, reference)

  local counted = { unit = "%", u = 0, source = "a count, no uncertainty" }
  r:exclude("unit off", ~on)
  report:require("system_availability", share(on_n, all), counted)
  if valid then
    r:exclude("unit below the valid share", ~valid)
    report:require("valid_availability", share(valid:count(), all), counted)
  end
end

return check
