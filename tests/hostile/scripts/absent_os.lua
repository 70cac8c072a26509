--! script: 'os' is not available in scripts
--@ 3
print(os)
