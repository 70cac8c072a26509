-- Ten years of 10-min means of a unit and a mast (invented, written by run.py).
local averaged = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" }
local logger = { averaging = "scalar", divisor = "N-1" }
return {
  interface = 1,
  title  = "Benchmark: ten years of 10-min means of unit NL-0417 beside the Ravnmoor mast",
  lidar  = { serial = "NL-0417", kind = "ground lidar" },
  period = { from = "2013-01-01T00:00:00Z", to = "2022-12-30T00:00:00Z", interval = "10 min" },
  roles  = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = { files = { "unit.csv" }, time = averaged, interval = "10 min", done_by_logger = logger,
      channels = { v = { quantity = "wind_speed", mean = "v", unit = "m/s", height = 10 } } },
    mast  = { files = { "mast.csv" }, time = averaged, interval = "10 min", done_by_logger = logger,
      channels = { v = { quantity = "wind_speed", mean = "v", unit = "m/s", height = 10 } } },
  },
  checks = { { "ten_years" } },
}
