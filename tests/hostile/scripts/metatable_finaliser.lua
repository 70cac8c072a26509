-- Finalisers, weak tables, to-be-closed values and false lengths.
for _, name in ipairs({ "__gc", "__mode", "__close", "__len", "__pairs", "__name", "__metatable" }) do
  print(select(2, pcall(setmetatable, {}, { [name] = "k" })).message)
end
-- nor afterwards: the metatable in force is a copy
local meta = {}
local t = setmetatable({}, meta)
meta.__len = function() return 1 << 60 end
print(#t)
--> setmetatable: '__gc' is not available in scripts
--> setmetatable: '__mode' is not available in scripts
--> setmetatable: '__close' is not available in scripts
--> setmetatable: '__len' is not available in scripts
--> setmetatable: '__pairs' is not available in scripts
--> setmetatable: '__name' is not available in scripts
--> setmetatable: '__metatable' is not available in scripts
--> 0
