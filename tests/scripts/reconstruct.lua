-- The wind from several beams. Numbers: practice 2.9 (R 4.2.2); others by hand.
local function close(x, y) return math.abs(x - y) <= 1e-9 * math.max(1, math.abs(y)) end

-- two beams, columns of records; the second record misses one, the third both, the fourth is calm
local left = column.new({ 9.8, missing, missing, 0 }, "m/s")
local right = column.new({ 9.2, 9.2, missing, 0 }, "m/s")
local two = { { azimuth = 15, elevation = 0 }, { azimuth = -15, zenith = 90 } }
local w = reconstruct.wind(two, { left, right }, { frame = "nacelle", u = 0.1 })
print(w.u.unit, w.direction.unit, close(w.u[1], 9.835123714), close(w.v[1], 1.159110992), close(w.speed[1], 9.903191241), close(w.direction[1], 6.721544853))
--> m s-1	degree	true	true	true	true
print(close(w.speed_u[1], 0.0794235615), close(w.direction_u[1], 1.570570144), w.covariance.u.v[1], w.covariance.u.u.unit)
--> true	true	0.0	m2 s-2
print(w.n, w.left_out, w.with_a_beam_dropped, #w.reasons, w.reasons[1].reason, w.reasons[1].records, w.reasons[1].mask[2], w.beams[2])
--> 2	2	0	1	fewer beams than unknowns	2	true	1.0
print(w.u[2], w.speed[4], w.direction[4], w.residual_sd[1])
--> missing	0.0	missing	missing
-- the reference that both share: correlation 1
local common = reconstruct.wind(two, { left, right }, { frame = "nacelle", u_common = { 0.1, 0.1 } })
print(close(common.speed_u[1], 0.1028160425), close(common.direction_u[1], 0.070105735))
--> true	true

-- four beams on earth: one missing is dropped; the two left in a plane do not determine it
local four = {}
for i = 1, 4 do four[i] = { azimuth = 90 * (i - 1), zenith = 30 } end
local speeds = {}
for i, beam in ipairs(four) do
  local x = angle.sin(30) * (3 * angle.sin(beam.azimuth) - 4 * angle.cos(beam.azimuth)) + 0.5 * angle.cos(30)
  speeds[i] = column.new({ x, i == 1 and missing or x, i % 2 == 0 and missing or x }, "m/s")
end
local e = reconstruct.wind(four, speeds, { frame = "earth" })
for i = 1, 2 do print(close(e.u[i], 3), close(e.v[i], -4), close(e.w[i], 0.5), close(e.speed[i], 5), close(e.direction[i], 323.13010235415598)) end
--> true	true	true	true	true
--> true	true	true	true	true
print(e.u[3], e.left_out, e.with_a_beam_dropped, e.reasons[1].reason, e.beams[2])
--> missing	1	1	fewer beams than unknowns	3.0
print(close(e.condition[1], math.sqrt(6)), close(e.covariance.u.u[1], 2), close(e.covariance.w.w[1], 1 / 3))
--> true	true	true

-- three of five left, in one plane
local five = { four[1], four[2], four[3], four[4], { azimuth = 0, zenith = 0 } }
local up = column.new({ 0.5, 0.5, 0.5 }, "m/s")
local f = reconstruct.wind(five, { speeds[1], speeds[2], speeds[3], speeds[4], up }, { frame = "earth" })
print(f.n, f.reasons[1].reason, f.u[3])
--> 2	the beams left do not determine the wind	missing

-- weights: a beam of weight 0 does not count
local without = reconstruct.wind(five, { speeds[1], speeds[2], speeds[3], speeds[4], up + { 7, "m/s" } }, { frame = "earth", weights = { 1, 1, 1, 1, 0 } })
print(close(without.w[1], 0.5), without.beams[1])
--> true	4.0

-- tilt and roll, a column or a number: +1 degree raises the forward beam by 0.0174524
local axes = { { azimuth = 0, elevation = 0 }, { azimuth = 90, elevation = 0 }, { azimuth = 0, elevation = 90 } }
local o, z = column.new{ 1, 1 }, column.new{ 0, 0 }
local t = reconstruct.wind(axes, { o, z, z }, { frame = "nacelle", model = "uvw", tilt = column.new({ 1, missing }, "degree") })
print(string.format("%.7f", t.w[1]), t.w[2], t.reasons[1].reason)
--> 0.0174524	missing	tilt or roll missing
print(string.format("%.7f", reconstruct.wind(axes, { 0, 1, 0 }, { frame = "nacelle", model = "uvw", roll = 1 }).w[1]))
--> 0.0174524

-- shear between heights
local heights = { { azimuth = 15, elevation = 5, height = 107.4 }, { azimuth = -15, elevation = 5, height = 107.4 }, { azimuth = 15, elevation = -5, height = 72.6 }, { azimuth = -15, elevation = -5, height = 72.6 } }
local s = reconstruct.wind(heights, { 9.9, 9.3, 9.4, 8.9 }, { frame = "nacelle", model = "shear", height = 90 })
print(close(s.u[1], 9.762780803), close(s.v[1], 1.070485061), close(s.shear[1], 0.1228935068), close(s.direction[1], 6.257461609))
--> true	true	true	true

-- refused
local function says(run, ...)
  local ok, problem = pcall(run, ...)
  print(ok and "no error" or problem.kind .. ": " .. problem.message .. (problem.hint and " (" .. problem.hint .. ")" or ""))
end
local same = { four[1], four[1], four[1], four[1] }
says(reconstruct.wind, same, speeds, { frame = "earth" })
--> undefined: the wind is not determined: the directions of the 4 beams leave a component of the wind open (condition number above 1e+06)
says(reconstruct.wind, two, { left, right }, { frame = "earth" })
--> undefined: the wind is not determined: 2 beams for 3 unknowns
says(reconstruct.wind, { heights[1], heights[2], heights[1] }, { 1, 1, 1 }, { frame = "nacelle", model = "shear", height = 90 })
--> undefined: the shear is not determined: all beams are at 107.4 m
says(reconstruct.wind, two, { left, right }, {})
--> script: reconstruct.wind: needs the option 'frame' (it fixes axes and signs: frame = "earth" or "nacelle")
says(reconstruct.wind, two, { left }, { frame = "nacelle" })
--> script: reconstruct.wind: 1 speeds for 2 beams
says(reconstruct.wind, { { azimuth = 1 } }, { 1 }, { frame = "nacelle" })
--> script: reconstruct.wind: beam 1 needs its azimuth and either its elevation or its zenith angle ({ { azimuth = 15, elevation = 0 }, { azimuth = -15, elevation = 0 } })
says(reconstruct.wind, two, { left, right }, { frame = "nacelle", wieghts = 1 })
--> script: reconstruct.wind: unknown option 'wieghts' (did you mean 'weights'?)
says(reconstruct.wind, two, { left, right }, { frame = "nacelle", weights = { 1, -1 } })
--> script: beam 2: a weight of -1
says(function() return w.w end)
--> undefined: w is not defined: the model takes it as 0; model = "uvw" asks for it
