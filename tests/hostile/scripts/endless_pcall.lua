-- A hook that only raises would be swallowed here.
--! limit: instructions
--% instructions 5000000
while true do pcall(function() while true do end end) end
