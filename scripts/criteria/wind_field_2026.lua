-- House rule of the invented field station 2 for reconstructed winds. All numbers are invented.
return {
  title    = "Reconstructed wind, house rule 2026 (invented)",
  source   = "field station 2, house rule 2026",
  evidence = "invented",
  rule     = "simple",
  limits   = {
    { check = "wind_field", require = "speed_slope", lower = 0.97, upper = 1.03, unit = "1" },
    { check = "wind_field", require = "yaw_offset", upper = 2, unit = "degree" },
    { check = "wind_field", require = "yaw_spread", upper = 2, unit = "degree" },
  },
}
