-- How much of the time did the unit give data?
-- Three denominators, all stated: the calendar, the intervals in which the unit was on, and the
-- intervals in which the reference was valid. Which of them a contract means is for the
-- contract to say.

local channels = require "practice.channels"

local check = {
  title    = "Availability of the unit, by day",
  practice = "common practice, no source; names of the ratios as in the floating-lidar roadmap",
  needs    = { "unit.wind_speed" },
  parameters = {
    valid = { 80, "%", "least share of the expected samples for an interval to count as valid",
              source = "common practice, no source", evidence = "recalled" },
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

function check.run(campaign, p, report)
  local r = campaign.intervals
  local lidar = channels.main(r.unit, "wind_speed")
  local cup = channels.if_any(r.reference, "wind_speed")

  local on = lidar.count:above(0)
  local valid = lidar.availability:above(p.valid, "%") | lidar.availability:equals(p.valid, "%")
  local reference = cup and ~cup.mean:missing() or nil

  local on_n, valid_n, all = on:count(), valid:count(), #r
  report_share(report, "system availability, of the calendar", on_n, all)
  report_share(report, "valid data, of the calendar", valid_n, all)
  report_share(report, "valid data, of the intervals with the unit on", valid_n, on_n)
  if reference then
    report_share(report, "valid data, of the intervals with a valid reference",
      (valid & reference):count(), reference:count())
  end

  local date, calendar, on_d, valid_d, both_d = {}, {}, {}, {}, {}
  for i, day in ipairs(r:days()) do
    date[i], calendar[i] = day.date, day.mask:count()
    on_d[i] = share((on & day.mask):count(), calendar[i])
    valid_d[i] = share((valid & day.mask):count(), calendar[i])
    both_d[i] = missing
    if reference then
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

  r:exclude("unit off", ~on)
  r:exclude("unit below the valid share", ~valid)
  report:require("system_availability", share(on_n, all),
    { unit = "%", u = 0, source = "a count, no uncertainty" })
  report:require("valid_availability", share(valid_n, all),
    { unit = "%", u = 0, source = "a count, no uncertainty" })
end

return check
