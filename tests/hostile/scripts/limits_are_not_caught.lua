-- Whatever wraps it, the end is the limit.
--! limit: instructions
--% instructions 3000000
local function deep(n) if n > 0 then return pcall(deep, n - 1) end while true do end end
while true do deep(20) end
