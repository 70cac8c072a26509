--! script: overflow
local t = setmetatable({}, {})
local meta = {}
meta.__index = function(s, k) return s[k] end
t = setmetatable({}, meta)
print(t.x)
