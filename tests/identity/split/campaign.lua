-- The samples of tests/bench/campaign's unit in long form, a row a beam (invented, levels.sh writes them).
return {
  interface = 1,
  title  = "Long form: unit NL-0417 beside the Ravnmoor mast",
  lidar  = { serial = "NL-0417", kind = "nacelle lidar" },
  period = { from = "2023-01-01T00:00:00Z", to = "2023-01-03T00:00:00Z", interval = "10 min" },
  roles  = { unit = { "beams" } },
  sources = {
    beams = {
      files = { "beams.csv" }, overlap = "identical", missing = { "NaN" },
      time = { column = "timestamp", format = "iso8601", zone = "UTC", stamp = "start" },
      split = { beam = "beam", range = "range_m" },
      ranges = { at = { 140, 240 }, within = 0.6 },
      shared = { "tilt" },
      channels = {
        los_speed = { column = "rws", unit = "m/s", positive = "towards" },
        signal    = { quantity = "carrier_to_noise_ratio", column = "cnr", unit = "dB" },
        tilt      = { column = "tilt", unit = "degree" },
        status    = { quantity = "beam_status", column = "status", unit = "1" },
      },
    },
  },
  checks = { { "rows" } },
}
