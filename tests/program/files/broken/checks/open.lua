return { title = "Opens a file", practice = "none", needs = {}, parameters = {}, run = function()
  io.open("/etc/passwd") -- luacheck: ignore
end }
