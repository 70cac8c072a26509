-- No address and no order of addresses reaches a script.
print(tostring({}), tostring(print), tostring(function() end))
print(pcall(string.format, "%p", {}))
print(pcall(string.format, "%s", {}))
print(pcall(string.format, "%q", "x"))
print(pcall(string.format, "%a", 1.5))
print(pcall(function() for k in pairs({ [{}] = 1 }) do print(k) end end))
print(pcall(function() return {} < {} end))
--> table	function	function
--> false	campaign/addresses.lua:3: string.format: '%p' is not available in scripts
--> false	campaign/addresses.lua:4: string.format: argument 2: a table has no text
--> false	campaign/addresses.lua:5: string.format: '%q' is not available in scripts
--> false	campaign/addresses.lua:6: string.format: '%a' is not available in scripts
--> false	campaign/addresses.lua:7: a table with a table as a key has no order to walk it in
--> false	campaign/addresses.lua:8: attempt to compare two table values
