--! script: the variable 'pint' is not declared
--? did you mean 'print'
--@ 4
pint("x")
