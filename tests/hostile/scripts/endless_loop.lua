--! limit: instructions
--@ 6
--? loop that does not end
--% instructions 5000000
--| while true do end
while true do end
