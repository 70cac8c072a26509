--! script: 'xpcall' is not available
--@ 3
xpcall(function() error("x") end, function() while true do end end)
