--! script: the variable 'total' is not declared
--? write 'local total'
--@ 4
total = 3
