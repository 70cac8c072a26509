-- Three days of an invented unit beside the Ravnmoor mast: small enough to keep a dossier for ever.
local decided = { contract = "golden" }

return {
  interface = 1,
  title  = "Unit NL-0424 beside the Ravnmoor mast, three days",
  report = { number = "R-0424", revision = 1, status = "preliminary" },
  lidar  = { serial = "NL-0424", kind = "ground lidar" },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-05T00:00:00Z", interval = "10 min" },
  logbook = { { from = "2026-03-03T15:00:00Z", to = "2026-03-03T15:30:00Z", text = "window cleaned",
                by = "ab", exclude = { "unit" } } },
  roles  = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = {
      files    = { "unit.csv.gz" },
      time     = { column = "time", format = "iso8601", zone = "UTC", stamp = "start",
                   duration = "1 min" },
      expected = { every = "1 min" },
      channels = {
        wind_speed          = { column = "speed", unit = "m/s", height = 8.9 },
        wind_from_direction = { column = "direction", unit = "degree", height = 8.9 },
        signal              = { quantity = "carrier_to_noise_ratio", column = "signal", unit = "dB" },
        status              = { column = "status", kind = "bits", names = { [0] = "window wet" } },
      },
      keep_if  = { signal = { at_least = { -20, "dB" } } },
      prepare  = function(s) s:drop("window wet", s.status:has("window wet"), { "wind_speed" }) end,
    },
    mast = {
      files    = { "mast.csv" },
      time     = { column = "end", format = "iso8601", zone = "UTC", stamp = "end" },
      interval = "10 min",  decimal = ",",  delimiter = ";",
      done_by_logger = { averaging = "scalar", divisor = "N-1", filter = "none" },
      channels = {
        cup         = { quantity = "wind_speed", mean = "v", sd = "v sd", unit = "m/s",
                        height = 8.9, use = "primary" },
        vane        = { quantity = "wind_from_direction", mean = "d", unit = "degree", height = 8.4 },
        temperature = { quantity = "air_temperature", mean = "t", unit = "degC" },
        humidity    = { quantity = "relative_humidity", mean = "rh", unit = "%" },
      },
    },
  },
  disturbed = { { from = 150, to = 158, reason = "the met hut" } },
  checks = {
    { "availability", criteria = decided },
    { "wind_speed_comparison", criteria = decided },
    { "wind_direction_comparison", criteria = decided },
  },
}
