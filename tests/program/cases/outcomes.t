# Exit codes: 0 pass or no decision, 1 fail, 2 inconclusive. `outcome` runs a variant of the campaign.
$ cat >outcome <<'SH'
. #!/bin/sh
. windassay run small/$1.lua --into $1 --replace >text; code=$?
. [ $code -lt 64 ] || exit $code
. echo "exit code $code"; head -2 text
. /usr/bin/python3 - $1 <<'PY'
. import json, sys
. for c in json.load(open(sys.argv[1] + "/data/result.json"))["checks"]:
.     for r in c["requirements"]:
.         if r["name"].startswith("slope") and r.get("use"):
.             limits = [r.get("limits", {}).get(key) for key in ("lower", "upper")]
.             value = "none" if r["value"] is None else f"{r['value']:.4f}"
.             print(c["id"], r["name"], value, limits, r.get("criteria"), r.get("use"), r["outcome"], r.get("reason"), sep=", ")
. PY
. SH
. chmod +x outcome; ./outcome campaign
> exit code 0
> pass: Unit NL-0420 beside the Ravnmoor mast, eight days
> Pass: all 9 contractual requirements are met.
> wind_speed_comparison:from_2, slope_records, 1.0063, [0.97, 1.03], roadmap_minimum, contract, pass, None
> wind_speed_comparison:4_to_16, slope_records, 1.0063, [0.97, 1.03], roadmap_minimum, contract, pass, None
> wind_speed_comparison:norsewind.4_to_16, slope_records, 1.0063, [0.98, 1.01], norsewind, information, pass, None
> wind_speed_comparison:norsewind.4_to_16, slope_difference_4_8_and_8_12, 0.0000, [None, 0.015], norsewind, information, pass, None
> wind_direction_comparison, slope, 0.9994, [0.95, 1.05], roadmap_minimum, contract, pass, None
# A set of criteria of the campaign's own, tighter than the unit is.
$ mkdir small/criteria; cat >small/criteria/tight.lua <<'LUA'
. return {
.   title = "Tighter than the unit is (invented)", source = "test", evidence = "invented", rule = "simple",
.   limits = {
.     { check = "wind_speed_comparison", require = "slope_records", lower = 0.999, upper = 1.001, unit = "1" },
.   },
. }
. LUA
. sed 's/"roadmap_minimum"/"tight"/; s/, information = { "norsewind" }//; s/"wind_speed_comparison", /"wind_speed_comparison", hours = 100, /' small/campaign.lua >small/tight.lua; ./outcome tight
> exit code 1
> fail: Unit NL-0420 beside the Ravnmoor mast, eight days
> Fail: 1 of 1 contractual requirements are not met: 'slope_records' of wind_speed_comparison.
> wind_speed_comparison, slope_records, 1.0063, [0.999, 1.001], tight, contract, fail, None
# Two days are too few.
$ sed 's/2026-03-10T00/2026-03-04T00/' small/campaign.lua >small/short.lua; ./outcome short
> exit code 2
> inconclusive: Unit NL-0420 beside the Ravnmoor mast, eight days
> Inconclusive: 7 of 9 contractual requirements could not be decided: 'slope_records' of wind_speed_comparison:from_2, 'r2_centred_records' of wind_speed_comparison:from_2, 'slope_records' of wind_speed_comparison:4_to_16 and 4 more.
> wind_speed_comparison:from_2, slope_records, 1.0068, [0.97, 1.03], roadmap_minimum, contract, inconclusive, fewer than 40 records in 12 of 12 bins, centred at 2.5, 3.5, 4.5, 5.5, 6.5, 7.5, 8.5, 9.5, 10.5, 11.5, 13, 15
> wind_speed_comparison:4_to_16, slope_records, 1.0069, [0.97, 1.03], roadmap_minimum, contract, inconclusive, fewer than 40 records in 12 of 12 bins, centred at 2.5, 3.5, 4.5, 5.5, 6.5, 7.5, 8.5, 9.5, 10.5, 11.5, 13, 15
> wind_speed_comparison:norsewind.4_to_16, slope_records, 1.0069, [0.98, 1.01], norsewind, information, inconclusive, 33.7 h of data, 100 h needed; fewer than 200 records in 2 of 2 bins, centred at 6, 10
> wind_speed_comparison:norsewind.4_to_16, slope_difference_4_8_and_8_12, 0.0002, [None, 0.015], norsewind, information, inconclusive, 33.7 h of data, 100 h needed; fewer than 200 records in 2 of 2 bins, centred at 6, 10
> wind_direction_comparison, slope, 0.9996, [0.95, 1.05], roadmap_minimum, contract, inconclusive, 281 records, 600 needed
# Nobody asked for a decision.
$ sed 's/, criteria = decided//' small/campaign.lua >small/open.lua; ./outcome open
> exit code 0
> no decision asked: Unit NL-0420 beside the Ravnmoor mast, eight days
> No decision asked: no contract names limits for these checks.
# A rule with a guard band cannot pass on scatter alone, nor be passed without uncertainty.
$ sed -i 's/rule = "simple"/rule = "guarded", k = 2/; s/0.999/0.9/; s/1.001/1.1/' small/criteria/tight.lua; cp small/tight.lua small/guarded.lua; ./outcome guarded
> exit code 2
> inconclusive: Unit NL-0420 beside the Ravnmoor mast, eight days
> Inconclusive: 1 of 1 contractual requirements could not be decided: 'slope_records' of wind_speed_comparison.
> wind_speed_comparison, slope_records, 1.0063, [0.9, 1.1], tight, contract, inconclusive, uncertainty incomplete (scatter only)
# What is for information never changes the outcome.
$ sed -i 's/rule = "guarded", k = 2/rule = "simple"/; s/0.9,/1.05,/' small/criteria/tight.lua; sed 's/"norsewind"/"tight"/' small/campaign.lua >small/informed.lua; ./outcome informed
> exit code 0
> pass: Unit NL-0420 beside the Ravnmoor mast, eight days
> Pass: all 9 contractual requirements are met.
> wind_speed_comparison, slope_records, 1.0063, [1.05, 1.1], tight, information, inconclusive, 133.7 h of data, 180 h needed
> wind_speed_comparison:from_2, slope_records, 1.0063, [0.97, 1.03], roadmap_minimum, contract, pass, None
> wind_speed_comparison:4_to_16, slope_records, 1.0063, [0.97, 1.03], roadmap_minimum, contract, pass, None
> wind_direction_comparison, slope, 0.9994, [0.95, 1.05], roadmap_minimum, contract, pass, None
# Mistakes in criteria.
$ sed -i 's/unit = "1"/unit = "m"/' small/criteria/tight.lua; ./outcome tight
! windassay: criteria 'tight': the limit of 'slope_records' is in 'm', the check 'wind_speed_comparison' gives it in '1'
!   the check says its unit in report:require(..., { unit = })
[65]
$ sed -i 's/unit = "m"/unit = "1"/; s/upper = 1.1/uper = 1.1/' small/criteria/tight.lua; ./outcome tight
! windassay: small/criteria/tight.lua: limit 1: unknown key 'uper'
!   did you mean 'upper'?
[65]
$ sed -i 's/uper = 1.1/upper = 1.1/; s/, source = "test"//' small/criteria/tight.lua; ./outcome tight
! windassay: small/criteria/tight.lua: limit 1: 'source' is missing: a limit says where it comes from
[65]
# A limit on what the check does not say is not tested, and cannot pass.
$ sed -i 's/evidence =/source = "test", evidence =/; s/slope_records/slope_of_records/' small/criteria/tight.lua; ./outcome tight
> exit code 2
> inconclusive: Unit NL-0420 beside the Ravnmoor mast, eight days
> Inconclusive: 1 of 1 contractual requirements could not be decided: 'slope_of_records' of wind_speed_comparison.
> wind_speed_comparison, slope_of_records, none, [1.05, 1.1], tight, contract, not tested, the check does not give this requirement
# A period that was extended says so beside its outcome: until when it was planned, and why.
$ sed 's/to = "2026-03-10T00:00:00Z", /&planned_to = "2026-03-08T00:00:00Z", extended = { { to = "2026-03-09T00:00:00Z", reason = "bin 2.5 m\/s empty" }, { to = "2026-03-10T00:00:00Z", reason = "bin 3.5 m\/s empty" } }, /' small/campaign.lua >small/longer.lua; windassay run small/longer.lua --into longer >text; head -5 text; grep -o 'Planned end.*' longer/data/report.html | sed 's/<[^>]*>/ /g' | head -1 | cut -c1-50
> pass: Unit NL-0420 beside the Ravnmoor mast, eight days
> Pass: all 9 contractual requirements are met.
> status of the report: preliminary
> period: planned to 2026-03-08T00:00:00Z, extended to 2026-03-09T00:00:00Z: bin 2.5 m/s empty
>   then to 2026-03-10T00:00:00Z: bin 3.5 m/s empty
> Planned end  2026-03-08T00:00:00Z    Averaging int
