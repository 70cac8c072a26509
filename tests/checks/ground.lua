-- A profiler on the ground with four inclined beams and a vertical one beside the Ravnmoor mast:
-- invented, written by ground.py. Planted: gain 1.004, heading 31.5 where 30 is stated, tilt of 0.8 and
-- roll of -0.5 degree, upflow of 0.1 m/s.
return {
  interface = 1, title = "Unit NL-0434, wind from five beams, Ravnmoor (invented)",
  report = { number = "R-0434", revision = 1, status = "preliminary" },
  lidar  = { serial = "NL-0434", kind = "ground lidar", heading = { 30, "degree", u = 0.5 },
             position = { east = 0, north = 0, lens_height = { 1, "m", u = 0.02 } },
             ranges = { at = { 90 }, within = 1 },
             beams = { { azimuth = 0, elevation = 62 }, { azimuth = 90, elevation = 62 },
                       { azimuth = 180, elevation = 62 }, { azimuth = 270, elevation = 62 },
                       { azimuth = 0, elevation = 90 } } },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-07T00:00:00Z", interval = "10 min" },
  roles = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = { files = { "beams.csv" },
      time = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" },
      split = { beam = "beam", range = "range" }, shared = { "tilt", "roll" },
      expected = { per = "beam", every = "10 min" },
      channels = {
        los_speed = { column = "speed", unit = "m/s", positive = "towards" },
        tilt = { column = "tilt", unit = "degree" }, roll = { column = "roll", unit = "degree" },
      } },
    mast = { files = { "mast.csv" },
      time = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" },
      interval = "10 min", done_by_logger = { averaging = "scalar", divisor = "N-1" },
      channels = {
        low = { quantity = "wind_speed", height = 40, use = "primary", mean = "low", unit = "m/s", instrument = "cup" },
        cup = { quantity = "wind_speed", height = 80, mean = "v", unit = "m/s", instrument = "cup" },
        vane = { quantity = "wind_from_direction", height = 79, mean = "d", unit = "degree", instrument = "vane" },
      } },
  },
  instruments = {
    cup = { class = "1.2A", mounting = { 0.5, "%" }, data_acquisition = { 0.01, "m/s" }, fitted = { {
      serial = "A-1", from = "2025-11-03T00:00:00Z",
      calibration = { certificate = "K-1", standard_uncertainty = 0.05 } } } },
    vane = { mounting = { 0.6, "degree" }, linearity = { 0.4, "degree" }, fitted = { {
      serial = "V-1", from = "2025-11-03T00:00:00Z" } } },
  },
  checks = { { "wind_field", frame = "earth", height = 80, width = 1 } },
}
