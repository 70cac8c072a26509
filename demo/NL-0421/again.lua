-- Unit NL-0421 back from its work: beam 1 passes the cup of the Ravnmoor mast once more. Has it
-- changed since campaign.lua? Invented data, written by demo/generate.c; `calibrated.lua` as in
-- wind.lua.
-- Planted: gain 1.0024 (1.0031 before), direction 214.0.

local mast = require "shared.ravnmoor"
local unit = require "unit"
local calibrated = require "calibrated"

-- The cup came back from the tunnel a week later: what it changed by is a component of its own.
local instruments = mast.instruments
instruments.cup_top.fitted[1].calibration_after = {
  slope = 0.04616, offset = 0.229, certificate = "K-2026-231", date = "2026-06-04",
  standard_uncertainty = { { 4, 0.045 }, { 16, 0.060 } }, lowest = 4, highest = 16 }

return {
  interface = 1,
  title  = "Unit NL-0421, beam 1 again, Ravnmoor",
  report = unit.report("R-0421-A"),
  lidar  = unit.lidar,
  period = { from = "2026-05-18T00:00:00Z", to = "2026-05-28T00:00:00Z", interval = "10 min" },
  phases = {
    { name = "beam_1", beam = 1, range = 240,
      from = "2026-05-18T00:00:00Z", to = "2026-05-28T00:00:00Z",
      beam_tilt   = { 1.61, "degree", u = 0.05, source = "theodolite sheet 19" },
      beam_height = { 8.84, "m", u = 0.1, source = "theodolite sheet 19" } },
  },
  roles   = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = unit.source({ "root:data/raw/NL-0421/los_2026-05-[12]*.csv.gz" }, "4 s"),
    mast = mast.source{ files = "root:data/mast/2026-*.csv" },
  },
  instruments = instruments,
  disturbed   = mast.disturbed,
  uses   = { calibrated.dossier },
  checks = {
    { "los_speed", id = "los", each = "phase", status = { "window wet" }, window = 7,
      criteria = { contract = "los_2026" } },
    { "drift", check = "los.beam_1", requirement = "gain", correlation = 1, -- the same cup
      criteria = { contract = "no_drift" } },
  },
}
