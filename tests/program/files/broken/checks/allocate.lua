return { title = "Takes all memory", practice = "none", needs = {}, parameters = {}, run = function()
  local list = {}
  for i = 1, math.huge do list[i] = string.rep("x", 1000000) .. #list end
end }
