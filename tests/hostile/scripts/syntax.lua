--! script: unexpected symbol near '='
--@ 3
local x = = 3
