-- Unit NL-0417 beside the Ravnmoor mast. Invented data, written by demo/generate.c.
-- Planted: gain 1.004, offset 0.03 m/s, heading 1.8 degrees, clock 25 s late; beams with a gain of
-- 1.003 and an axis that points to 285 degrees, as stated.

local mast   = require "shared.ravnmoor"
local method = require "shared.method_2026"

-- What every unit is asked, and the wind field of this one's four beams.
local checks = {}
for i, check in ipairs(method.checks) do checks[i] = check end
checks[#checks + 1] = { "wind_field", range = 240, criteria = { contract = "wind_field_2026" } }

return {
  interface = 1,
  title  = "Unit NL-0417 beside the Ravnmoor mast",
  report = { number = "R-0417", revision = 1, status = "preliminary",
             laboratory = "field station 2 (invented)", customer = "C-031 (invented)",
             measured_by = "ab", approved_by = "cd" },
  lidar  = { serial = "NL-0417", kind = "nacelle lidar", firmware = "4.2.0",
             position = { east = 0, north = 0, lens_height = { 2.10, "m", u = 0.02 } },
             heading = { 285, "degree", u = 0.5 }, ranges = { at = { 140, 240 }, within = 0.6 },
             beams = { { azimuth = 17, elevation = 6 }, { azimuth = -17, elevation = 6 },
                       { azimuth = 17, elevation = -6 }, { azimuth = -17, elevation = -6 } } },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-31T00:00:00Z", interval = "10 min" },
  roles  = { unit = { "lidar", "beams" }, reference = { "mast" } },
  sources = {
    lidar = {
      files    = { "root:data/raw/NL-0417/speed_*.csv.gz" },
      time     = { column = "time", format = "iso8601", zone = "UTC", stamp = "end",
                   duration = "1 s" },
      expected = { every = "1 s" },
      missing  = { "NaN" },
      position = { east = 0, north = 0 },
      channels = {
        wind_speed          = { column = "hws", unit = "m/s", height = 8.9 },
        wind_from_direction = { column = "hdir", unit = "degree", height = 8.9 },
        quality             = { column = "quality", unit = "%" },
        status              = { column = "flags", kind = "bits", names = { [1] = "low signal" } },
      },
      keep_if  = { quality = { at_least = { 50, "%" } } },
    },
    beams = {
      files    = { "root:data/raw/NL-0417/beams_*.csv.gz" },
      time     = { column = "time", format = "iso8601", zone = "UTC", stamp = "end",
                   duration = "1 s" },
      header   = { names_begin_with = "time" },
      split    = { beam = "beam", range = "range_m" },
      shared   = { "pitch", "flags" },
      expected = { per = "beam", every = "4 s" },
      channels = {
        los_speed = { column = "speed", unit = "m/s", positive = "towards" },
        signal    = { quantity = "carrier_to_noise_ratio", column = "cnr", unit = "dB" },
        pitch     = { quantity = "tilt", column = "pitch", unit = "degree" },
        flags     = { column = "flags", kind = "bits", names = { [0] = "window wet" } },
      },
      keep_if  = { signal = { at_least = { -20, "dB" } } },
      prepare  = function(s)
        s:drop("window wet", s.flags:has("window wet"), { "los_speed" })
      end,
    },
    mast = mast.source{ files = "root:data/mast/2026-*.csv" },
  },
  instruments = mast.instruments,
  disturbed   = mast.disturbed,
  checks      = checks,
  stability   = { resamples = 25 },
}
