-- Invented, for this campaign alone.
return {
  title = "Limits of the golden campaign",
  source = "invented", evidence = "invented", rule = "simple",
  limits = {
    { check = "availability", require = "valid_availability", lower = 90, unit = "%" },
    { check = "wind_speed_comparison", require = "slope_records", run = "4 to 12",
      lower = 0.98, upper = 1.02, unit = "1", rule = "guarded", k = 2,
      parameters = { width = 1, lowest = 4, highest = 12, at_least = 2, hours = 10 } },
    { check = "wind_direction_comparison", require = "offset", lower = -3, upper = 3, unit = "degree" },
  },
}
