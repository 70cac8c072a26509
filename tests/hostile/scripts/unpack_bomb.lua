--! script: table.unpack: more than 8000 values
--@ 3
table.unpack({}, 1, 1000000)
