-- A ground lidar beside the lidar RL-0007, which was accepted before (accepted.lua), at two heights:
-- invented, written by neighbour.py. Planted: slopes 1.012 at 80 m and 0.995 at 40 m of the true wind,
-- noise of both units, directions 1.5 degrees off.
local averaged = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" }
local own, other = { kind = "lidar", fitted = { { serial = "NL-0433", from = "2026-03-02T00:00:00Z" } } },
  { { serial = "RL-0007", from = "2026-03-02T00:00:00Z" } }
own.repeatability = { 0.2, "m/s" }
return {
  interface = 1, title = "Unit NL-0433 beside the lidar RL-0007, Ravnmoor (invented)",
  report = { number = "R-0433", revision = 1, status = "preliminary" },
  lidar  = { serial = "NL-0433", kind = "ground lidar" },
  period = { from = "2026-03-02T00:00:00Z", to = "2026-03-12T00:00:00Z", interval = "10 min" },
  roles = { unit = { "lidar" }, reference = { "neighbour" } },
  uses = { { dossier = "accepted.dossier", sha256 = "DIGEST", as = "its acceptance" } },
  sources = {
    lidar = { files = { "unit.csv" }, time = averaged, interval = "10 min",
      done_by_logger = { averaging = "scalar", divisor = "N-1" },
      channels = {
        high = { quantity = "wind_speed", height = 80, mean = "s80", sd = "s80_sd", unit = "m/s", instrument = "own" },
        low = { quantity = "wind_speed", height = 40, mean = "s40", unit = "m/s", instrument = "own" },
        direction = { quantity = "wind_from_direction", height = 80, mean = "e", unit = "degree",
                      instrument = "own_direction" },
      } },
    neighbour = { files = { "neighbour.csv" }, time = averaged, interval = "10 min",
      done_by_logger = { averaging = "scalar", divisor = "N-1" },
      channels = {
        high = { quantity = "wind_speed", height = 80, use = "primary", mean = "v80", sd = "v80_sd",
                 availability = "there", unit = "m/s", instrument = "neighbour" },
        low = { quantity = "wind_speed", height = 40, mean = "v40", unit = "m/s", instrument = "neighbour" },
        direction = { quantity = "wind_from_direction", height = 80, mean = "d", unit = "degree",
                      instrument = "neighbour_direction" },
      } },
  },
  instruments = {
    own = own,
    own_direction = { kind = "lidar", repeatability = { 1, "degree" }, fitted = own.fitted },
    neighbour = { kind = "lidar", class = { 1.2, "%" }, mounting = { 0.1, "%" }, repeatability = { 3, "%" },
                  accepted = { as = "its acceptance", check = "speed", corrected = true }, fitted = other },
    neighbour_direction = { kind = "lidar", mounting = { 0.5, "degree" }, repeatability = { 1, "degree" },
                            accepted = { as = "its acceptance", check = "direction" }, fitted = other },
  },
  checks = { { "wind_speed_comparison", id = "at_80", height = 80, width = 1, hours = 24, lowest = 5, highest = 14 },
             { "wind_speed_comparison", id = "at_40", height = 40, width = 1, hours = 24, lowest = 5, highest = 12 },
             { "wind_direction_comparison" }, { "turbulence" },
             { "heights", height = 50 }, { "heights", id = "beyond", height = 90 } },
}
