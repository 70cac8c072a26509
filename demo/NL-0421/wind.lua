-- Unit NL-0421 with all four beams beside the Ravnmoor mast, after campaign.lua: the wind that it
-- reconstructs. Invented data, written by demo/generate.c. `calibrated.lua` is written by
-- demo/run.sh: where the dossier of campaign.lua lies, and its digest.
-- Planted: the gains of the beams, and nothing else.

local mast = require "shared.ravnmoor"
local unit = require "unit"
local calibrated = require "calibrated"

local lidar = unit.lidar
lidar.heading = { 214, "degree", u = 0.3 }

return {
  interface = 1,
  title  = "Unit NL-0421, reconstructed wind, Ravnmoor",
  report = unit.report("R-0421-W"),
  lidar  = lidar,
  period = { from = "2026-05-09T00:00:00Z", to = "2026-05-17T00:00:00Z", interval = "10 min" },
  roles   = { unit = { "lidar" }, reference = { "mast" } },
  sources = {
    lidar = unit.source({ "root:data/raw/NL-0421/wind_*.csv.gz" }, "4 s"),
    mast = mast.source{ files = "root:data/mast/2026-*.csv" },
  },
  instruments = mast.instruments,
  disturbed   = mast.disturbed,
  uses   = { calibrated.dossier },
  calibrations = { calibrated.calibration },
  checks = { { "wind_field", highest = 13, criteria = { contract = "wind_field_2026" } },
             { "certificate" } },
}
