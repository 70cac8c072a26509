-- Unit NL-0421 on the ground beside the Ravnmoor mast: its four beams, one after the other, pass
-- the mast's cup. Invented data, written by demo/generate.c. What the unit does with this
-- calibration is in wind.lua, how it was when it came back in again.lua.
-- Planted: gains 1.0031, 0.9974, 1.0052, 0.9989; directions 214.3, 213.6, 214.1, 213.9.

local mast = require "shared.ravnmoor"
local unit = require "unit"

local function passing(beam, from, to, tilt, height, sheet)
  return { name = "beam_" .. beam, beam = beam, range = 240, from = from, to = to,
           beam_tilt   = { tilt, "degree", u = 0.05, source = "theodolite sheet " .. sheet },
           beam_height = { height, "m", u = 0.1, source = "theodolite sheet " .. sheet } }
end

local function turned(from, to, text)
  return { from = from, to = to, text = text, by = "ab", exclude = { "unit" } }
end

return {
  interface = 1,
  title  = "Unit NL-0421, line-of-sight speeds, Ravnmoor",
  report = unit.report("R-0421"),
  lidar  = unit.lidar,
  period = { from = "2026-03-02T00:00:00Z", to = "2026-05-07T00:00:00Z", interval = "10 min" },
  phases = {
    passing(1, "2026-03-02T00:00:00Z", "2026-03-16T00:00:00Z", 1.62, 8.88, 12),
    passing(2, "2026-03-17T00:00:00Z", "2026-03-31T00:00:00Z", 1.58, 8.72, 13),
    passing(3, "2026-04-01T00:00:00Z", "2026-04-11T00:00:00Z", 1.60, 8.80, 15),
    passing(4, "2026-04-27T00:00:00Z", "2026-05-07T00:00:00Z", 1.63, 8.93, 16),
  },
  logbook = {
    turned("2026-03-16T00:00:00Z", "2026-03-17T00:00:00Z", "unit turned from beam 1 to beam 2"),
    turned("2026-03-31T00:00:00Z", "2026-04-01T00:00:00Z", "unit turned from beam 2 to beam 3"),
    turned("2026-04-11T00:00:00Z", "2026-04-27T00:00:00Z", "unit in store, then turned to beam 4"),
  },
  roles   = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = unit.source({ "root:data/raw/NL-0421/los_2026-03-*.csv.gz",
                          "root:data/raw/NL-0421/los_2026-04-*.csv.gz",
                          "root:data/raw/NL-0421/los_2026-05-0*.csv.gz" }, "4 s"),
    mast = mast.source{ files = "root:data/mast/2026-*.csv" },
  },
  instruments = mast.instruments,
  disturbed   = mast.disturbed,
  tables = { spots = "bench/spots.csv", inclinometer = "bench/inclinometer.csv",
             hard_target = "bench/hard_target.csv", bench = "bench/belt.csv" },
  checks = {
    { "beam_geometry", criteria = { contract = "los_2026" } },
    { "bench_speed", criteria = { contract = "los_2026" } },
    { "los_speed", id = "los", each = "phase", status = { "window wet" }, window = 7,
      criteria = { contract = "los_2026" } },
  },
}
