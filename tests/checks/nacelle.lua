-- A nacelle unit with four beams beside the Ravnmoor mast: invented, written by nacelle.py.
-- Planted: gain 1.005, heading 241.2 where 240 is stated, tilt of 1 degree.
return {
  interface = 1, title = "Unit NL-0432, wind field, Ravnmoor (invented)",
  report = { number = "R-0432", revision = 1, status = "preliminary" },
  lidar  = { serial = "NL-0432", kind = "nacelle lidar", heading = { 240, "degree", u = 0.5 },
             position = { east = 0, north = 0, lens_height = { 23, "m", u = 0.02 } },
             ranges = { at = { 240 }, within = 1 },
             beams = { { azimuth = 15, elevation = 5 }, { azimuth = -15, elevation = 5 },
                       { azimuth = 15, elevation = -5 }, { azimuth = -15, elevation = -5 } } },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-07T00:00:00Z", interval = "10 min" },
  roles = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = { files = { "beams.csv" },
      time = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" },
      split = { beam = "beam", range = "range" }, shared = { "tilt", "flags" },
      expected = { per = "beam", every = "10 min" },
      channels = {
        los_speed = { column = "speed", unit = "m/s", positive = "away" },
        tilt = { column = "tilt", unit = "degree" },
        flags = { column = "flags", kind = "bits", names = { [0] = "window wet", [3] = "warming up" } },
      } },
    mast = { files = { "mast.csv" },
      time = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" },
      interval = "10 min", done_by_logger = { averaging = "scalar", divisor = "N-1" },
      channels = {
        cup = { quantity = "wind_speed", height = 23, mean = "v", unit = "m/s", instrument = "cup" },
        vane = { quantity = "wind_from_direction", height = 22, mean = "d", sd = "d_sd", unit = "degree",
                 instrument = "vane" },
      } },
  },
  instruments = {
    cup = { class = "1.2A", mounting = { 0.5, "%" }, data_acquisition = { 0.01, "m/s" }, fitted = { {
      serial = "A-1", from = "2025-11-03T00:00:00Z",
      calibration = { certificate = "K-1", standard_uncertainty = 0.05 } }, {
      serial = "A-2", from = "2026-03-04T12:00:00Z",
      calibration = { certificate = "K-2", standard_uncertainty = { { 4, 0.10 }, { 14, 0.20 } } } } } },
    vane = { mounting = { 0.6, "degree" }, linearity = { 0.4, "degree" }, fitted = { {
      serial = "V-1", from = "2025-11-03T00:00:00Z", to = "2026-03-04T12:00:00Z" }, {
      serial = "V-2", from = "2026-03-04T12:00:00Z" } } },
  },
  checks = { { "wind_field", width = 1 }, { "wind_field", id = "shear", model = "shear" },
             { "environment" } },
}
