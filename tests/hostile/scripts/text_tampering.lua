-- The metatable of texts leads nowhere, and libraries cannot be written.
print(getmetatable(""), (pcall(function() return getmetatable("x").__index end)))
print(pcall(function() string.rep = nil end))
print(pcall(function() getmetatable("").__index.rep = nil end))
print(pcall(setmetatable, string, {}))
print(pcall(function() table.insert(string, 1) end))
--> locked	false
--> false	campaign/text_tampering.lua:3: 'string.rep' is read-only
--> false	campaign/text_tampering.lua:4: 'string' has no '__index'
--> false	campaign/text_tampering.lua:5: setmetatable: this table is read-only
--> false	campaign/text_tampering.lua:6: table.insert: this table is read-only
