--! script: 'next' is not available in scripts
--@ 3
local _ = next
