-- An own pcall must not let a script live on after its memory is gone.
--! limit: memory
--% memory 33554432
while true do
  pcall(function() local s = "x"; while true do s = s .. s end end)
end
