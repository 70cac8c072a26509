--! script: 'print' is read-only
--@ 3
print = nil
