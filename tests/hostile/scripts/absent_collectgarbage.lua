--! script: 'collectgarbage' is not available in scripts
--@ 3
local _ = collectgarbage
