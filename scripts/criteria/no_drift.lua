-- No drift is seen between two calibrations: |E_n| <= 1 with k = 2 (ISO/IEC 17043, recalled).
return {
  title    = "No drift between two calibrations",
  source   = "ISO/IEC 17043, E_n",
  evidence = "recalled",
  rule     = "simple",
  limits   = {
    { check = "drift", require = "en", upper = 1, unit = "1" },
  },
}
