--! limit: memory
--% memory 33554432
local s = ("x"):rep(1024)
while true do s = s .. s end
