-- Only names of scripts; never a path.
print(pcall(require, "../base"))
print(pcall(require, "/etc/passwd"))
print(pcall(require, "practice..sectors"))
print(pcall(require, "a/b"))
print(pcall(require, "no_such"))
print(pcall(require, "io"))
print(pcall(require, "shared.anything"))
--> false	campaign/require_outside.lua:2: '../base' cannot be the name of a script
--> false	campaign/require_outside.lua:3: '/etc/passwd' cannot be the name of a script
--> false	campaign/require_outside.lua:4: 'practice..sectors' cannot be the name of a script
--> false	campaign/require_outside.lua:5: 'a/b' cannot be the name of a script
--> false	campaign/require_outside.lua:6: there is no script 'no_such'
--> false	campaign/require_outside.lua:7: there is no script 'io'
--> false	campaign/require_outside.lua:8: there is no script 'shared.anything'
