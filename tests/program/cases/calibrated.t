# Interval means outside the range of the instrument's certificate are counted in the record; the
# second count is made from intervals.csv.
$ sed 's/cup         = {/cup = { instrument = "cup",/; s/^  checks/  instruments = { cup = { fitted = { { serial = "A-1", from = "2026-01-01T00:00:00Z", calibration = { slope = 0.05, offset = 0.2, lowest = 5, highest = 9 }, in_data = "certificate" } } } },\n  checks/' small/campaign.lua >small/range.lua
. windassay run small/range.lua --into range >text; echo $?
. grep outside_calibrated_range range/data/result.json | tr -d ' '
. python3 -c 'import csv; r = list(csv.reader(open("range/data/intervals.csv"))); k = [i for i, h in enumerate(r[0]) if h.startswith("mast.cup.mean")][0]; print(sum(1 for x in r[1:] if x[k] and not 5 <= float(x[k]) <= 9))'
> 0
> "outside_calibrated_range":869
> 869
