-- What is left out of string, table, math and utf8.
for _, what in ipairs({ "dump", "pack", "unpack", "packsize" }) do
  print(pcall(function() return string[what] end))
end
print(pcall(function() return table.move end))
for _, what in ipairs({ "random", "randomseed", "sin", "exp", "log", "fmod" }) do
  print((pcall(function() return math[what] end)))
end
--> false	campaign/absent_parts.lua:3: 'string' has no 'dump'
--> false	campaign/absent_parts.lua:3: 'string' has no 'pack'
--> false	campaign/absent_parts.lua:3: 'string' has no 'unpack'
--> false	campaign/absent_parts.lua:3: 'string' has no 'packsize'
--> false	campaign/absent_parts.lua:5: 'table' has no 'move'
--> false
--> false
--> false
--> false
--> false
--> false
