-- Filter, bins and slope of peers/README.

local check = {
  title = "Speed of the unit beside the cup",
  practice = "the job of tests/bench/peers/README, no practice",
  needs = { "unit.wind_speed", "reference.wind_speed" },
}

function check.run(campaign, _, report)
  local r = campaign.intervals
  local ws = r.unit:find{ name = "ws" }
  local cup = r.reference:find{ name = "cup1" }
  local cnr = r.unit:find{ name = "cnr1" }
  local temp = r.reference:find{ name = "temp" }
  r:exclude("unit: fewer than 540 samples", ws.count:below(540))
  r:exclude("cup: fewer than 540 samples", cup.count:below(540))
  r:exclude("weak signal", cnr.mean:below(-12, "dB"))
  r:exclude("frost", ~temp.min:above(0, "degC"))
  r:exclude("speed outside the bins", ~cup.mean:between(3.75, 16.25, "m/s"))
  local measured, reference = r:kept(ws.mean, cup.mean)
  local c = compare.by_bin(measured, reference, { width = 0.5, centred_on = 0, lowest = 4, highest = 16,
                                                  at_least = 1 })
  report:value("slope", c.through_origin.records.slope, { unit = "1" })
  report:value("kept", #measured, { unit = "1" })
  report:table("bins", c)
end

return check
