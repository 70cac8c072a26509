-- Unit NL-0421 on the ground beside the Ravnmoor mast: two beams, one after the other, pass the
-- mast's cup. Invented data, written by demo/generate.c.
-- Planted: beam 1 gain 1.0031, direction 214.3; beam 2 gain 0.9974, direction 213.6.

local mast = require "shared.ravnmoor"

return {
  interface = 1,
  title  = "Unit NL-0421, line-of-sight speeds, Ravnmoor",
  report = { number = "R-0421", revision = 1, status = "preliminary",
             laboratory = "field station 2 (invented)", customer = "C-031 (invented)",
             measured_by = "ab", approved_by = "cd" },
  lidar  = { serial = "NL-0421", kind = "nacelle lidar", sign = "both", firmware = "4.2.0",
             position = { east = 363, north = 135, lens_height = { 2.10, "m", u = 0.02 } },
             ranges = { at = { 240 }, within = 0.6 },
             beams = { { azimuth = 17, elevation = 6 }, { azimuth = -17, elevation = 6 },
                       { azimuth = 17, elevation = -6 }, { azimuth = -17, elevation = -6 } } },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-31T00:00:00Z", interval = "10 min" },
  phases = {
    { name = "beam_1", beam = 1, range = 240,
      from = "2026-03-02T00:00:00Z", to = "2026-03-16T00:00:00Z",
      beam_tilt   = { 1.62, "degree", u = 0.05, source = "theodolite sheet 12" },
      beam_height = { 8.88, "m", u = 0.1, source = "theodolite sheet 12" } },
    { name = "beam_2", beam = 2, range = 240,
      from = "2026-03-17T00:00:00Z", to = "2026-03-31T00:00:00Z",
      beam_tilt   = { 1.58, "degree", u = 0.05, source = "theodolite sheet 13" },
      beam_height = { 8.72, "m", u = 0.1, source = "theodolite sheet 13" } },
  },
  logbook = { { from = "2026-03-16T00:00:00Z", to = "2026-03-17T00:00:00Z",
                text = "unit turned from beam 1 to beam 2", by = "ab", exclude = { "unit" } } },
  roles   = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = {
      files    = { "root:data/raw/NL-0421/los_*.csv.gz" },
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
    mast = mast.source{ files = "root:data/mast/2026-*.csv" },
  },
  instruments = mast.instruments,
  disturbed   = mast.disturbed,
  tables = { spots = "bench/spots.csv", inclinometer = "bench/inclinometer.csv",
             hard_target = "bench/hard_target.csv", bench = "bench/belt.csv" },
  checks = {
    { "beam_geometry", criteria = { contract = "los_2026" } },
    { "bench_speed", criteria = { contract = "los_2026" } },
    { "los_speed", id = "los", each = "phase", status = { "window wet" },
      criteria = { contract = "los_2026" } },
  },
}
