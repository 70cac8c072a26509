-- A comparison that fails leaves the list as it was.
local t = { 3, 1, 2 }
print(pcall(table.sort, t, function() error("no order") end))
print(table.concat(t, " "))
print(pcall(table.sort, { 1, "a", 2 }))
--> false	campaign/sort_order_raises.lua:3: no order
--> 3 1 2
--> false	campaign/sort_order_raises.lua:5: attempt to compare string with number
