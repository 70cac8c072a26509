--! script: 'rawget' is not available in scripts
--@ 3
local _ = rawget
