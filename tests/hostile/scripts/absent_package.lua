--! script: 'package' is not available in scripts
--@ 3
print(package)
