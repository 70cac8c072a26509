--! script: 'rawset' is not available in scripts
--@ 3
local _ = rawset
