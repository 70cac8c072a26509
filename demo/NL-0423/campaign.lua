-- Unit NL-0423 on the bench, before a beam passes the mast's cup: sheets, and one day of data for
-- the record. Invented; planted: beam 3 points half a degree too high.

return {
  interface = 1,
  title  = "Unit NL-0423, bench",
  report = { number = "R-0423", revision = 1, status = "preliminary",
             laboratory = "field station 2 (invented)", customer = "C-031 (invented)",
             measured_by = "ab", approved_by = "cd" },
  lidar  = { serial = "NL-0423", kind = "nacelle lidar", sign = "both", firmware = "4.2.0",
             position = { east = 363, north = 135, lens_height = { 2.10, "m", u = 0.02 } },
             ranges = { at = { 240 }, within = 0.6 },
             beams = { { azimuth = 17, elevation = 6 }, { azimuth = -17, elevation = 6 },
                       { azimuth = 17, elevation = -6 }, { azimuth = -17, elevation = -6 } } },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-03T00:00:00Z", interval = "10 min" },
  roles   = { unit = { "lidar" } },
  sources = {
    lidar = {
      files    = { "root:data/raw/NL-0423/los_*.csv.gz" },
      time     = { column = "time", format = "iso8601", zone = "UTC", stamp = "end",
                   duration = "1 s" },
      split    = { beam = "beam", range = "range_m" },
      expected = { per = "beam", every = "4 s" },
      position = { east = 363, north = 135 },
      channels = {
        los_speed = { column = "speed", unit = "m/s", positive = "towards" },
        signal    = { quantity = "carrier_to_noise_ratio", column = "cnr", unit = "dB" },
        status    = { column = "flags", kind = "bits", names = { [0] = "window wet" } },
      },
      keep_if  = { signal = { at_least = { -20, "dB" } } },
    },
  },
  tables = { spots = "bench/spots.csv", inclinometer = "bench/inclinometer.csv",
             hard_target = "bench/hard_target.csv", bench = "bench/belt.csv" },
  checks = {
    { "beam_geometry", criteria = { contract = "los_2026" } },
    { "bench_speed", criteria = { contract = "los_2026" } },
  },
}
