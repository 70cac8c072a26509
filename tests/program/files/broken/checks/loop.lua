return { title = "Loops for ever", practice = "none", needs = {}, parameters = {}, run = function()
  while true do end
end }
