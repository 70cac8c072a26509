-- The whole comparison of ten years, and 1000 block-bootstrap resamples of its slope over bin means.

local check = {
  title = "Ten years of a unit beside a cup",
  practice = "benchmark, no practice",
  needs = { "unit.wind_speed", "reference.wind_speed" },
}

function check.run(campaign, _, report)
  local r = campaign.intervals
  local ws = r.unit:find{ quantity = "wind_speed" }
  local cup = r.reference:find{ quantity = "wind_speed" }
  r:need(ws.mean, cup.mean)
  local y, x = r:kept(ws.mean, cup.mean)
  local bins = { width = 0.5, centred_on = 0, lowest = 4, highest = 16, at_least = 3 }
  local c = compare.by_bin(y, x, bins)
  local b = resample.blocks{ x = x, y = y, statistic = "through_origin.bin_means", bins = bins, times = 1000 }
  report:table("bins", c)
  report:value("records", #x, { unit = "1" })
  report:value("slope", b.estimate, { unit = "1", u = b.standard_error })
end

return check
