--! script: 'coroutine' is not available in scripts
--@ 3
print(coroutine)
