-- What all campaigns of unit NL-0421 say of it: its beams, its files.

local unit = {}

unit.lidar = {
  serial = "NL-0421", kind = "nacelle lidar", sign = "both", firmware = "4.2.0",
  position = { east = 363, north = 135, lens_height = { 2.10, "m", u = 0.02 } },
  ranges = { at = { 240 }, within = 0.6 },
  beams = { { azimuth = 17, elevation = 6 }, { azimuth = -17, elevation = 6 },
            { azimuth = 17, elevation = -6 }, { azimuth = -17, elevation = -6 } },
}

--- What the report says beside its number.
function unit.report(number)
  return { number = number, revision = 1, status = "preliminary",
           laboratory = "field station 2 (invented)", customer = "C-031 (invented)",
           measured_by = "ab", approved_by = "cd" }
end

--- The unit as a source: its files, and the rate of a beam.
function unit.source(files, every)
  return {
    files    = files,
    time     = { column = "time", format = "iso8601", zone = "UTC", stamp = "end",
                 duration = "1 s" },
    split    = { beam = "beam", range = "range_m" },
    expected = { per = "beam", every = every },
    position = { east = 363, north = 135 },
    channels = {
      los_speed = { column = "speed", unit = "m/s", positive = "towards" },
      signal    = { quantity = "carrier_to_noise_ratio", column = "cnr", unit = "dB" },
      status    = { column = "flags", kind = "bits", names = { [0] = "window wet" } },
    },
    keep_if  = { signal = { at_least = { -20, "dB" } } },
  }
end

return unit
