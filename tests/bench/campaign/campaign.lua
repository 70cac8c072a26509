-- The job of peers/README as a campaign: 1 Hz files of a four-beam unit and a mast (invented, gen.c).
-- END stands for the end of the data; run.sh writes it.

local time = { column = "timestamp", format = "iso8601", zone = "UTC", stamp = "start" }

local unit = {}
for beam = 1, 4 do
  unit["rws" .. beam] = { quantity = "radial_speed", column = "rws" .. beam, unit = "m/s" }
  unit["cnr" .. beam] = { quantity = "carrier_to_noise_ratio", column = "cnr" .. beam, unit = "dB" }
  unit["status" .. beam] = { quantity = "beam_status", column = "status" .. beam, unit = "1" }
end
unit.tilt = { quantity = "tilt", column = "tilt", unit = "degree" }
unit.roll = { quantity = "roll", column = "roll", unit = "degree" }
unit.temp = { quantity = "air_temperature", column = "temp", unit = "degC" }

local mast = {}
for i = 1, 3 do mast["cup" .. i] = { quantity = "wind_speed", column = "cup" .. i, unit = "m/s",
                                     height = 10 - i } end
-- the peers average angles as plain numbers, and so does this job
for i = 1, 2 do mast["vane" .. i] = { quantity = "vane_angle", column = "vane" .. i, unit = "degree" } end
mast.temp = { quantity = "air_temperature", column = "temp", unit = "degC" }
mast.rh = { quantity = "relative_humidity", column = "rh", unit = "%" }
mast.press = { quantity = "air_pressure", column = "press", unit = "hPa" }

return {
  interface = 1,
  title  = "Benchmark: 1 Hz files of unit NL-0417 beside the Ravnmoor mast",
  lidar  = { serial = "NL-0417", kind = "nacelle lidar" },
  period = { from = "2023-01-01T00:00:00Z", to = "END", interval = "10 min" },
  roles  = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = { files = { "lidar.csv*" }, time = time, missing = { "NaN" }, channels = unit,
      prepare = function(s)
        local u, v = s.rws1 - s.rws3, s.rws2 - s.rws4
        local good = s.status1:equals(1) & s.status2:equals(1)
          & s.status3:equals(1) & s.status4:equals(1)
        s:add("ws", (u * u + v * v):sqrt():where(good), { quantity = "wind_speed", unit = "m/s" })
      end },
    mast = { files = { "mast.csv*" }, time = time, missing = { "NaN" }, channels = mast },
  },
  checks = { { "pair" } },
}
