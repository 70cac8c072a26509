--! script: string.rep: the text would have 10000000000 bytes
--@ 3
local s = ("x"):rep(1e10 // 1 | 0)
