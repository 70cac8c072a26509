# The auditor's second opinion: every number of a dossier again from intervals.csv and ledger.csv, in plain Python.
$ windassay run small/campaign.lua --into whole >text && /usr/bin/python3 $ROOT/tests/reference/recompute.py whole
> pass: 9118 numbers and words compared, all the same to 1e-12
# Two days, narrow bins of which many are incomplete.
$ sed 's/2026-03-10T00/2026-03-04T00/; s/"wind_speed_comparison", /"wind_speed_comparison", width = 0.2, at_least = 5, /' small/campaign.lua >small/narrow.lua; windassay run small/narrow.lua --into narrow >text; grep -c 'records only' narrow/data/ledger.csv; /usr/bin/python3 $ROOT/tests/reference/recompute.py narrow
> 126
> inconclusive: 5076 numbers and words compared, all the same to 1e-12
# Other thresholds.
$ sed 's/"wind_speed_comparison", /"wind_speed_comparison", width = 1, availability = 99, icing_below = 4, deviation = 0.1, /; s/"clock"/"clock", within = 6/' small/campaign.lua >small/other.lua; windassay run small/other.lua --into other >text; /usr/bin/python3 $ROOT/tests/reference/recompute.py other
> pass: 8802 numbers and words compared, all the same to 1e-12
# A unit that sees less wind where there is more: the correlation keeps its sign.
$ sed 's/unit = "m\/s", height = 8.9 }/unit = "m\/s", height = 8.9, instrument = "cup" }/; s/^  disturbed/  instruments = { cup = { fitted = { { serial = "A-1", from = "2026-01-01T00:00:00Z", in_data = "signal", calibration = { slope = -1, offset = 30, certificate = "none" } } } } },&/; s/"clock"/"clock", within = 0/' small/campaign.lua >small/minus.lua; windassay run small/minus.lua --into minus >text; awk '$1 == "correlation_records" { print $2 }' text; /usr/bin/python3 $ROOT/tests/reference/recompute.py minus
> -0.99970
> -0.99979
> -0.99967
> -0.99967
> fail: 9118 numbers and words compared, all the same to 1e-12
# It does find a digit that is not right, also where the manifest was made to fit.
$ sed -i 's/^6.5,[0-9]*,[0-9]*,[0-9]*\.[0-9]\{9\}/&5/' whole/data/tables/wind_speed_comparison.4_to_16.by_bin.csv; (cd whole && sha256sum $(cut -c67- manifest-sha256.txt) >made && mv made manifest-sha256.txt); /usr/bin/python3 $ROOT/tests/reference/recompute.py whole
! recompute: wind_speed_comparison:4_to_16: by bin, row 3, column 4 of the CSV is 6.461451612590323 in the dossier, recomputed 6.461451612903225
[1]
