-- A calibration as a later campaign takes it: interpolated between bins, its groups kept.
local calibration = require "practice.calibration"

local function entry(beam, components)
  return { name = "beam " .. beam, quantity = "los_speed", beam = beam, range = 240, unit = "m s-1", gain = 1.02,
           gain_u = 0.01, valid = { { quantity = "los_speed", lowest = 4, highest = 8, unit = "m s-1" } },
           bins = { { reference = 4, measured = 4.08, records = 9, u = 0.05 },
                    { reference = 8, measured = 8.16, records = 9, u = 0.09 } }, components = components }
end
local cup   = { name = "u_cal", kind = "B", group = "cup", u = { 0.04, 0.08 } }
local stat  = { name = "u_stat", kind = "A", u = { 0.02, 0.01 } }
local one   = { gain = 1.02, entry = entry(1, { cup, stat }) }

-- By hand: 0.04 below the first bin, 0.07 at 7, 0.08 * 10 / 8 above the last; a sign does not matter.
local parts = calibration.components(one, column.new({ 2, 7, 10, -7, missing }, "m/s"))
for i = 1, 5 do print(i, parts[1].u[i], parts[2].u[i]) end
--> 1	0.04	0.02
--> 2	0.07	0.0125
--> 3	0.1	0.0125
--> 4	0.07	0.0125
--> 5	missing	missing
print(parts[1].name, parts[1].group, parts[2].group)
--> calibration: u_cal	calibration: cup	calibration: u_stat of beam 1
print(calibration.corrected(one, column.new({ 10.2 }, "m/s"))[1], calibration.corrected(nil, 3))
--> 10.0	3

-- Beyond: the mask, and nil for a condition that is not stated.
print(calibration.beyond(one, "los_speed", column.new({ 3.9, 4, 8, 8.1 }, "m/s")):count())
--> 2
print(calibration.beyond(one, "air_temperature", column.new({ 3 }, "degC")))
--> nil

-- What two share and what is their own; a beam that sees the wind from behind shares with the other sign.
local two = { gain = 1, entry = entry(2, { cup, stat }) }
local shared, own = calibration.of_several({ one, two }, { 7, -7 })
print(#shared, shared[1].name, shared[1].u[1], shared[1].u[2], own[1], own[2])
--> 1	calibration: u_cal	0.07	-0.07	0.0125	0.0125

-- Two beams 15 degrees to both sides, 9.8 and 9.2 m/s, 0.1 m/s each (worked example after IEC 61400-50-3
-- annex A, computed in R 4.2.2): shared 0.1028160425 m/s and 0.070105735 degrees, own 0.0794235615 and 1.570570144.
local beams = { { azimuth = 15, elevation = 0 }, { azimuth = -15, elevation = 0 } }
local function u(part)
  local flat = { gain = 1, entry = entry(1, {}) }
  flat.entry.components = { part }
  flat.entry.bins = { { reference = 1, u = 0.1 } }
  part.u = { 0.1 }
  local other = { gain = 1, entry = entry(2, { part }) }
  other.entry.bins = flat.entry.bins
  flat.entry.bins[1].reference = 100 -- above both: its u as it stands
  local s, o = calibration.of_several({ flat, other }, { 9.8, 9.2 })
  local w = reconstruct.wind(beams, { 9.8, 9.2 },
    { frame = "nacelle", u = #s == 0 and o or nil, u_common = #s > 0 and s[1].u or nil })
  return string.format("%.10f %.9f", w.speed_u[1], w.direction_u[1])
end
print(u{ name = "u_cal", kind = "B", group = "cup" })
--> 0.1028160425 0.070105735
print(u{ name = "u_stat", kind = "A" })
--> 0.0794235615 1.570570144

-- Which one is a channel's: source, quantity, beam and range; left out is an error, another source is none.
local campaign = { calibrations = { { source = "lidar", file = "c.json", calibrations = { one.entry } } } }
local function ask(channel)
  local good, found = pcall(calibration.of, campaign, channel)
  print(good, good and found and found.gain or found and not good and found.message)
end
ask{ source = "lidar", quantity = "los_speed", beam = 1, range = 240 }
--> true	1.02
ask{ source = "mast", quantity = "los_speed", beam = 1, range = 240 }
--> true	nil
ask{ source = "lidar", quantity = "wind_speed" }
--> true	nil
ask{ source = "lidar", quantity = "los_speed", beam = 2, range = 240 }
--> false	los_speed of beam 2 at 240 m is not calibrated in c.json; a calibration at another range holds where the campaign says any_range = true
ask{ source = "lidar", quantity = "los_speed", beam = 1, range = 140 }
--> false	los_speed of beam 1 at 140 m is not calibrated in c.json; a calibration at another range holds where the campaign says any_range = true
campaign.calibrations[1].any_range = true
ask{ source = "lidar", quantity = "los_speed", beam = 1, range = 140 }
--> true	1.02
