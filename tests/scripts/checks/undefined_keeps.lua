-- What was reported before an uncaught `undefined` stays, and so do the accounts.
--! undefined: no spread
local check = { title = "t", parameters = { lowest = { 4, "m/s", "x" } } }
function check.run(campaign, _, report)
  local r = campaign.intervals
  r:exclude("any", r.time:below(0, "s"))
  report:value("before", 1)
  undefined("no spread")
end
--~ "values":[{"name":"before","value":1,"unit":"1"}]
--~ "undefined":"no spread"
--~ "accounts":[{"name":"intervals"
return check
