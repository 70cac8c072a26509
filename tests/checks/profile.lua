-- A ground lidar with two heights beside the Ravnmoor mast: invented, written by profile.py.
local averaged = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" }
return {
  interface = 1, title = "Unit NL-0431 beside the Ravnmoor mast, ten days (invented)",
  report = { number = "R-0431", revision = 1, status = "preliminary" },
  lidar  = { serial = "NL-0431", kind = "ground lidar",
             position = { east = 0, north = 0, lens_height = { 2.10, "m", u = 0.02 } } },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-12T00:00:00Z", interval = "10 min" },
  phases = {
    { name = "beam 1", beam = 1, range = 240, from = "2026-03-02T00:00:00Z", to = "2026-03-07T00:00:00Z",
      beam_tilt = { 1.62, "degree", u = 0.05 } },
    { name = "beam 2", beam = 2, range = 240, from = "2026-03-07T00:00:00Z", to = "2026-03-12T00:00:00Z",
      beam_height = { 80.3, "m", u = 0.2 } },
  },
  roles = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = { files = { "unit.csv" }, time = averaged, interval = "10 min",
      done_by_logger = { averaging = "scalar", divisor = "N-1" },
      channels = {
        high = { quantity = "wind_speed", height = 80, mean = "s80", sd = "s80_sd",
                 availability = "there", unit = "m/s" },
        low  = { quantity = "wind_speed", height = 40, mean = "s40", unit = "m/s" },
        d_high = { quantity = "wind_from_direction", height = 80, mean = "e80", unit = "degree" },
        d_low  = { quantity = "wind_from_direction", height = 40, mean = "e40", unit = "degree" },
        inside = { quantity = "air_temperature", mean = "inside", max = "inside_max", unit = "degC" },
        tilt = { mean = "tilt", unit = "degree" }, roll = { mean = "roll", unit = "degree" },
      } },
    mast = { files = { "mast.csv" }, time = averaged, interval = "10 min",
      position = { east = 228, north = -64 },
      done_by_logger = { averaging = "scalar", divisor = "N-1" },
      channels = {
        top = { quantity = "wind_speed", height = 80, use = "primary", mean = "v80", sd = "v80_sd",
                unit = "m/s", instrument = "cup_top" },
        control = { quantity = "wind_speed", height = 78, use = "control", mean = "v78", unit = "m/s",
                    instrument = "cup_control" },
        low = { quantity = "wind_speed", height = 40, mean = "v40", unit = "m/s" },
        d_top = { quantity = "wind_from_direction", height = 80, use = "primary", mean = "d80",
                  unit = "degree", north = { offset = 0, u = 0.3, kind = "true" } },
        d_low = { quantity = "wind_from_direction", height = 40, mean = "d40", unit = "degree",
                  north = { offset = 0, kind = "magnetic" } },
        t  = { quantity = "air_temperature", mean = "t", unit = "degC" },
        rh = { quantity = "relative_humidity", mean = "rh", unit = "%" },
        p  = { quantity = "air_pressure", mean = "p", unit = "hPa" },
      } },
  },
  instruments = {
    cup_top = { class = "1.2A", mounting = { 0.5, "%" }, boom = "top, single", fitted = { {
      serial = "A-1", from = "2025-11-03T00:00:00Z",
      calibration = { slope = 0.04612, offset = 0.231, certificate = "K-1", date = "2025-09-14",
                      valid_to = "2026-09-14" }, in_data = "certificate" } } },
    -- the logger's line was 0.0490, the certificate's 0.0460: left out once more, it shows as 0.9388
    cup_control = { class = "1.2A", fitted = { {
      serial = "A-2", from = "2025-11-03T00:00:00Z",
      calibration = { slope = 0.0460, offset = 0.2, certificate = "K-2", date = "2024-03-10",
                      valid_to = "2026-03-10" }, in_data = { slope = 0.0490, offset = 0.2 } } } },
  },
  disturbed = { { from = 52, to = 98, reason = "wake of turbine T2" },
                { position = { east = 228, north = 1436 }, rotor_diameter = 90, reason = "turbine T9" },
                { position = { east = 228, north = -2064 }, rotor_diameter = 90, reason = "turbine T4" } },
  checks = { { "turbulence" }, { "shear_and_veer", at_least = 20 },
             { "environment", coldest = 4, hottest = 30, tilt_nominal = 1.6,
               tilt_within = 0.1 },
             { "reference_health" }, { "site" }, { "sensitivity" } },
}
