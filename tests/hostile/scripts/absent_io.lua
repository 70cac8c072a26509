--! script: 'io' is not available in scripts
--@ 3
print(io)
