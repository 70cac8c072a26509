-- What the long form is read for here: the mean of each beam.

local check = {
  title = "Mean line-of-sight speed of each beam",
  practice = "none: it only looks at what was read",
  needs = { "unit.los_speed" },
}

function check.run(campaign, _, report)
  for _, c in ipairs(campaign.intervals.unit:all{ quantity = "los_speed" }) do
    report:value("beam_" .. c.beam .. "_" .. c.range, c.mean:mean(), { unit = "m/s" })
  end
end

return check
