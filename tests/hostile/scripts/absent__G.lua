--! script: '_G' is not available in scripts
--@ 3
local _ = _G
