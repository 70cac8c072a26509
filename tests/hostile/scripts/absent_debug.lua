--! script: 'debug' is not available in scripts
--@ 3
print(debug)
