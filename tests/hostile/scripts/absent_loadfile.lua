--! script: 'loadfile' is not available in scripts
--@ 3
local _ = loadfile
