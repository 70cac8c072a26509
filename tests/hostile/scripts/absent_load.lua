--! script: 'load' is not available in scripts
--@ 3
local _ = load
