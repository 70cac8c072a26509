local check = { title = "Works", practice = "none", needs = { "reference.wind_speed" }, parameters = {} }
function check.run(campaign, _, report)
  local r = campaign.intervals
  local v = r.reference:find{ quantity = "wind_speed" }.mean
  r:exclude("reference missing", v:missing())
  report:value("mean", r:kept(v):mean(), { unit = "m s-1" })
end
return check
