-- House rule of the invented field station 2 for nacelle lidars: bench and line-of-sight speeds. All
-- numbers are invented.
return {
  title    = "Line-of-sight speed, house rule 2026 (invented)",
  source   = "field station 2, house rule 2026",
  evidence = "invented",
  rule     = "simple",
  limits   = {
    { check = "los_speed", require = "gain", lower = 0.97, upper = 1.03, unit = "1",
      rule = "non-binary", k = 2 },
    { check = "los_speed", require = "expanded_uncertainty", upper = 4, unit = "%" },
    { check = "los_speed", require = "residual", upper = 0.15, unit = "m s-1" },
    { check = "los_speed", require = "r2_centred_records", lower = 0.98, unit = "1" },
    { check = "beam_geometry", require = "pointing_error", upper = 0.2, unit = "degree" },
    { check = "beam_geometry", require = "opening_angle_difference", upper = 0.2,
      unit = "degree" },
    { check = "beam_geometry", require = "tilt_offset", upper = 0.2, unit = "degree" },
    { check = "beam_geometry", require = "roll_offset", upper = 0.2, unit = "degree" },
    { check = "beam_geometry", require = "range_error", upper = 1, unit = "m" },
    { check = "bench_speed", require = "gain", lower = 0.995, upper = 1.005, unit = "1" },
    { check = "bench_speed", require = "zero_offset", upper = 0.05, unit = "m s-1" },
    { check = "bench_speed", require = "linearity", upper = 0.05, unit = "m s-1" },
    { check = "bench_speed", require = "sign_difference", upper = 0.005, unit = "1" },
  },
}
