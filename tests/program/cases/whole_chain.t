# A certificate that states no uncertainty: the reference's chain is not whole, so a guarded rule has nothing to guard with.
$ mkdir small/criteria; cat >small/criteria/guard.lua <<'LUA'
. return { title = "Slope, guarded", source = "invented", evidence = "invented", rule = "guarded", k = 2,
.   limits = { { check = "wind_speed_comparison", require = "slope_bin_means", lower = 0.9, upper = 1.1, unit = "1" } } }
. LUA
. sed 's/use = "primary" }/use = "primary", instrument = "cup" }/; s/^  disturbed/  instruments = { cup = { class = "1.2A", mounting = { 0.5, "%" }, fitted = { { serial = "A-1", from = "2026-01-01T00:00:00Z", in_data = "certificate", calibration = { slope = 0.046, offset = 0.23, certificate = "K-1"UNCERTAINTY } } } } },\n&/; s/{ "wind_speed_comparison", criteria = decided }/{ "wind_speed_comparison", hours = 10, highest = 10, at_least = 1, coverage_edges = {}, criteria = { contract = "guard" } }/; s/{ "\(availability\|wind_direction_comparison\)", criteria = decided }/{ "\1" }/' small/campaign.lua >pattern
. sed 's/UNCERTAINTY//' pattern >small/without.lua; sed 's/UNCERTAINTY/, standard_uncertainty = { 0.05, "m\/s" }/' pattern >small/with.lua
. for c in with without; do windassay run small/$c.lua >$c; echo $?; grep "^  slope_bin_means\|no uncertainty of" $c; done
> 0
>   slope_bin_means                1.00717  0.025 (k = 2)        0.9 to 1.1  guarded, w 0.025  pass             guard
>   note: the campaign states no uncertainty of the reference's data acquisition
> 2
>   slope_bin_means                1.00717  0.022 (k = 2)        0.9 to 1.1  guarded  inconclusive     guard
>   slope_bin_means: uncertainty incomplete (scatter only)
>   u of slope_bin_means, slope_records: scatter only: cup states no uncertainty of its calibration: the reference's chain is not whole
>   note: the campaign states no uncertainty of the reference's calibration
>   note: the campaign states no uncertainty of the reference's data acquisition
