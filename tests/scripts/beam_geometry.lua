-- practice.beam_geometry. Signs: practice.md 2.3 (recalled), tilt +1 degree raises n_z of a forward beam by sin 1 = 0.0174524;
-- roll +90 turns what is left upwards.
local g = require "practice.beam_geometry"
local function show(n) print(string.format("%.7f %.7f %.7f", n[1] + 0.0, n[2] + 0.0, n[3] + 0.0)) end
show(g.vector(0, 0))
--> 1.0000000 0.0000000 0.0000000
show(g.levelled(g.vector(0, 0), 1, 0))
--> 0.9998477 0.0000000 0.0174524
show(g.levelled(g.vector(90, 0), 0, 90))
--> 0.0000000 0.0000000 1.0000000
local n = g.vector(17, -6)
show(n)
--> 0.9510660 0.2907701 -0.1045285
print(string.format("%.9f %.9f", g.azimuth(n), g.elevation(n)))
--> 17.000000000 -6.000000000
print(string.format("%.12f", g.between(n, g.in_unit(g.levelled(n, 2.5, -3.5), 2.5, -3.5))))
--> 0.000000000000
-- opening angle: cos(2 alpha) = n1 . n2; small angles keep their digits
print(string.format("%.9f %.6e", g.between(g.vector(15, 0), g.vector(-15, 0)), g.between(g.vector(15, 0), g.vector(15.0000001, 0))))
--> 30.000000000 1.000000e-07
local mean, far = g.mean{ { 10, 1, 0 }, { 20, -2, 0 } }
print(string.format("%.9f %.9f", g.azimuth(mean), far))
--> 0.000000000 5.710593137
print(select(2, pcall(g.mean, { { 1, 0, 0 }, { -1, 0, 0 } })).kind)
--> undefined
