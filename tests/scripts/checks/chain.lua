-- The reference chain of the campaign's own instruments, in a check.
local check = { title = "chain", practice = "a test", parameters = { lowest = { 4, "m/s", "not used here" } } }
function check.run(campaign, _, report)
  local cup = campaign.instruments.cup_top
  local v = column.new({ 4, 10, 16 }, "m/s")
  local parts = cup:components(v)
  print(cup.class, cup.name, #parts, table.concat(parts.not_stated, ", "))
  local b = budget.new(3):include(parts)
  report:require("speed", 10, { u = b:at(2) })
  print(pcall(setmetatable, cup, {}))
  for key in pairs(cup) do print(key) end
end
return check
--> 1.2A	cup_top	3	data acquisition
--> false	campaign/checks/chain.lua:10: setmetatable: this table is read-only
--> class
--> fitted
--> mounting
--> name
--~ "requirements":[{"name":"speed","value":10,"unit":"m s-1","u":0.10028085
