local function deeper(n) return 1 + deeper(n + 1) end
return { title = "Calls itself for ever", practice = "none", needs = {}, parameters = {}, run = function()
  return deeper(1)
end }
