--! script: 'warn' is not available in scripts
--@ 3
local _ = warn
