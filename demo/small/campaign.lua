-- Unit NL-0420 beside the Ravnmoor mast: eight days of 10-min statistics of both, small enough to
-- read. Invented data, written by generate.py. Planted: gain 1.004, offset 0.02 m/s, direction
-- 1.5 degrees.

local decided = { contract = "roadmap_minimum", information = { "norsewind" } }

return {
  interface = 1,
  title  = "Unit NL-0420 beside the Ravnmoor mast, eight days",
  report = { number = "R-0420", revision = 1, status = "preliminary",
             laboratory = "field station 2 (invented)", customer = "C-031 (invented)",
             measured_by = "ab", approved_by = "cd" },
  lidar  = { serial = "NL-0420", kind = "ground lidar", firmware = "4.2.0" },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-10T00:00:00Z", interval = "10 min" },
  roles  = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = {
      files    = { "unit.csv" },
      time     = { column = "time", format = "iso8601", zone = "UTC", stamp = "end" },
      interval = "10 min",
      done_by_logger = { averaging = "scalar", divisor = "N-1", filter = "none" },
      channels = {
        wind_speed          = { mean = "speed", sd = "speed_sd", count = "samples",
                                availability = "availability", unit = "m/s", height = 8.9 },
        wind_from_direction = { mean = "direction", unit = "degree", height = 8.9 },
      },
    },
    mast = {
      files    = { "mast.csv" },
      time     = { column = "interval end", format = "%d.%m.%Y %H:%M", zone = "UTC+01:00",
                   stamp = "end" },
      interval = "10 min",
      decimal  = ",", delimiter = ";",
      header   = { names = 1, units = 2, first_row = 3 },
      done_by_logger = { averaging = "scalar", divisor = "N", filter = "none" },
      channels = {
        cup         = { quantity = "wind_speed", mean = "v mean", sd = "v sd", unit = "m/s",
                        height = 8.9, use = "primary" },
        vane        = { quantity = "wind_from_direction", mean = "d mean", unit = "degree",
                        height = 8.4 },
        temperature = { quantity = "air_temperature", mean = "t mean", unit = "degC" },
        humidity    = { quantity = "relative_humidity", mean = "rh mean", unit = "%" },
      },
    },
  },
  disturbed = { { from = 52, to = 98, reason = "wake of turbine T2" } },
  checks = {
    { "clock" },
    { "availability", criteria = decided },
    { "wind_speed_comparison", criteria = decided },
    { "wind_direction_comparison", criteria = decided },
  },
}
