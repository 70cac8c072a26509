--! script: 'dofile' is not available in scripts
--@ 3
local _ = dofile
