-- Asking the parent for files without end.
--! limit: required files more than 1000 times
local i = 0
while true do
  i = i + 1
  pcall(require, "none" .. i)
end
