-- The Ravnmoor mast (invented): how its files are laid out, what stands on it, what disturbs it.
-- Written once for every unit that stands beside it.

local ravnmoor = {}

--- The mast as a source. `files` says where its monthly files lie.
function ravnmoor.source(options)
  return {
    files    = { options.files },
    time     = { column = "interval end", format = "%d.%m.%Y %H:%M", zone = "UTC+01:00", stamp = "end" },
    interval = "10 min",
    decimal  = ",",
    delimiter = ";",
    header   = { names = 1, units = 2, first_row = 3 },
    done_by_logger = { averaging = "scalar", divisor = "N", filter = "none" },
    position = { east = 228, north = -64 },
    channels = {
      v_top = { quantity = "wind_speed", height = 8.9, use = "primary", mean = "v top mean",
                sd = "v top sd", min = "v top min", max = "v top max", count = "v top n",
                unit = "m/s", instrument = "cup_top" },
      v_low = { quantity = "wind_speed", height = 7.4, use = "control", mean = "v low mean",
                sd = "v low sd", unit = "m/s", instrument = "cup_low" },
      d_top = { quantity = "wind_from_direction", height = 8.4, mean = "d mean", unit = "degree",
                instrument = "vane" },
      t     = { quantity = "air_temperature", height = 2, mean = "t mean", unit = "degC" },
      rh    = { quantity = "relative_humidity", height = 2, mean = "rh mean", unit = "%" },
    },
  }
end

-- The logger already used the certificates' lines, so nothing is undone or applied again.
ravnmoor.instruments = {
  cup_top = { class = "1.2A", mounting = { 0.5, "%" }, fitted = { {
    serial = "A-3391", from = "2025-11-03T00:00:00Z",
    calibration = { slope = 0.04612, offset = 0.231, certificate = "K-2025-118",
                    date = "2025-09-14", valid_to = "2026-09-14",
                    standard_uncertainty = { { 4, 0.045 }, { 16, 0.060 } }, lowest = 4, highest = 16 },
    in_data = "certificate" } } },
  cup_low = { class = "1.2A", mounting = { 1.5, "%" }, fitted = { {
    serial = "A-3392", from = "2025-11-03T00:00:00Z",
    calibration = { slope = 0.04608, offset = 0.240, certificate = "K-2025-119",
                    date = "2025-09-14", valid_to = "2026-09-14",
                    standard_uncertainty = { { 4, 0.045 }, { 16, 0.060 } }, lowest = 4, highest = 16 },
    in_data = "certificate" } } },
  vane = { fitted = { { serial = "V-0207", from = "2025-11-03T00:00:00Z" } } },
}

-- A turbine to the east-north-east; the sector was agreed with a margin.
ravnmoor.disturbed = { { from = 52, to = 98, reason = "wake of turbine T2" } }

return ravnmoor
