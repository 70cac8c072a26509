--! script: the variable 'helper' is not declared
--? write 'local helper'
--@ 4
function helper() return 1 end
