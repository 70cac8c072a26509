--! limit: instructions
--@ 5
--? loop that does not end
--% instructions 5000000
while true do end
