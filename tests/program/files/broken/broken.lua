-- Five checks that break beside one that does not.
local good = require "campaign"
local broken = {}
for key, value in pairs(good) do broken[key] = value end
broken.checks = { { "loop" }, { "allocate" }, { "open" }, { "deep" }, { "fail" }, { "empty" }, { "fine" } }
return broken
