-- One simulated campaign: gain and direction of a beam, and the wind from two beams, each with its
-- stated standard uncertainty. run.py holds them against the truth that it simulated.
local los = require "practice.line_of_sight"

local d = data.beam
local coarse = los.coarse(d.speed, d.direction, d.los, { tilt = 1.6 })
local scan = los.scan(d.speed, d.direction, d.los,
  { centre = coarse.direction, half_width = 1, step = 0.1, tilt = 1.6, half_sector = 40 })
local c = los.calibrate(d.speed, d.direction, d.los,
  { direction = scan.continuous, tilt = 1.6, half_sector = 40, width = 0.5, lowest = 4,
    highest = 14, at_least = 3 })
report:value("gain", c.gain, { unit = "1", u = c.gain_u })
report:value("direction", scan.continuous, { unit = "degree", u = scan.direction_u })

local w = data.wind
local wind = reconstruct.wind({ { azimuth = 15, elevation = 0 }, { azimuth = -15, elevation = 0 } },
  { w.left, w.right }, { frame = "nacelle", model = "uv", u = { 0.1, 0.1 } })
report:value("speed", wind.speed[1], { unit = "m s-1", u = wind.speed_u[1] })
report:value("yaw", wind.direction[1], { unit = "degree", u = wind.direction_u[1] })
