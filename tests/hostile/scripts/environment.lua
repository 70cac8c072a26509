-- _ENV is the read-only environment; another one holds only what the script puts into it.
print(pcall(function() _ENV.x = 1 end))
print(getmetatable(_ENV))
local function alone(_ENV) return x end
print(alone({ x = 3 }))
--> false	campaign/environment.lua:2: the variable 'x' is not declared
--> locked
--> 3
