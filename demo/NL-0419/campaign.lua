-- Unit NL-0419 beside the Ravnmoor mast. Invented data, written by demo/generate.c.
-- Planted: nothing wrong, but only six days.

local mast   = require "shared.ravnmoor"
local method = require "shared.method_2026"

return {
  interface = 1,
  title  = "Unit NL-0419 beside the Ravnmoor mast",
  report = { number = "R-0419", revision = 1, status = "preliminary",
             laboratory = "field station 2 (invented)", customer = "C-031 (invented)",
             measured_by = "ab", approved_by = "cd" },
  lidar  = { serial = "NL-0419", kind = "nacelle lidar", firmware = "4.2.0",
             position = { east = 0, north = 0, lens_height = { 2.10, "m", u = 0.02 } } },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-08T00:00:00Z", interval = "10 min" },
  roles  = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = {
      files    = { "root:data/raw/NL-0419/speed_*.csv.gz" },
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
    mast = mast.source{ files = "root:data/mast/2026-*.csv" },
  },
  instruments = mast.instruments,
  disturbed   = mast.disturbed,
  checks      = method.checks,
}
