-- The lidar RL-0007 beside the Ravnmoor mast, before it serves as a reference: invented, written by
-- neighbour.py. Planted: gain 1.006.
local averaged = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" }
return {
  interface = 1, title = "Lidar RL-0007 beside the Ravnmoor mast (invented)",
  lidar  = { serial = "RL-0007", kind = "ground lidar" },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-12T00:00:00Z", interval = "10 min" },
  roles = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = { files = { "accepted_unit.csv" }, time = averaged, interval = "10 min",
      channels = {
        speed = { quantity = "wind_speed", height = 80, mean = "s", unit = "m/s" },
        direction = { quantity = "wind_from_direction", height = 80, mean = "e", unit = "degree" },
      } },
    mast = { files = { "accepted_mast.csv" }, time = averaged, interval = "10 min",
      channels = {
        cup = { quantity = "wind_speed", height = 80, mean = "v", unit = "m/s", instrument = "cup" },
        vane = { quantity = "wind_from_direction", height = 80, mean = "d", unit = "degree", instrument = "vane" },
      } },
  },
  instruments = {
    cup = { class = "1.2A", mounting = { 0.5, "%" }, data_acquisition = { 0.01, "m/s" }, fitted = { {
      serial = "A-1", from = "2025-11-03T00:00:00Z",
      calibration = { certificate = "K-1", standard_uncertainty = 0.05 } } } },
    vane = { mounting = { 0.6, "degree" }, linearity = { 0.4, "degree" }, fitted = { {
      serial = "V-1", from = "2025-11-03T00:00:00Z" } } },
  },
  checks = { { "wind_speed_comparison", id = "speed", width = 1, hours = 24, lowest = 5, highest = 14 },
             { "wind_direction_comparison", id = "direction" } },
}
