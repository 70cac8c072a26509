# A campaign that still runs: what is missing, and how long that may take.
$ windassay progress small/campaign.lua
>
>   samples so far
>   source  beam  range [m]  data until, UTC       expected  read  dropped  read of expected [%]
>   lidar                    2026-03-10T00:00:00Z      1152  1140        0                 98.96
>   mast                     2026-03-10T00:00:00Z      1152  1152        0                100.00
>
>   checks
>   id                                       waited for  state        used [h]  bins filled  what is missing
>   clock                                    no          enough          174.3
>   availability                             yes         enough          184.3
>   wind_speed_comparison                    no          more needed     133.7  25 of 25     133.7 h of data, 180 h needed
>   wind_speed_comparison:from_2             yes         enough          163.5  12 of 12
>   wind_speed_comparison:4_to_16            yes         enough          128.2  12 of 12
>   wind_speed_comparison:norsewind.4_to_16  no          enough          128.2  2 of 2
>   wind_direction_comparison                yes         enough          168.7
>
>   wind_speed_comparison:from_2
>   what  bin centre  unit     have  needed  missing  days with some  more days: about  from  to
>   bins         2.5  records    63      40        0               8
>   bins         3.5  records    81      40        0               8
>   bins         4.5  records    69      40        0               8
>   bins         5.5  records    66      40        0               8
>   bins         6.5  records    62      40        0               8
>   bins         7.5  records    68      40        0               8
>   bins         8.5  records    69      40        0               8
>   bins         9.5  records    73      40        0               8
>   bins        10.5  records    68      40        0               8
>   bins        11.5  records    61      40        0               8
>   bins        13.0  records   120      40        0               8
>   bins        15.0  records   113      40        0               8
>
>   wind_direction_comparison
>   what     bin centre  unit     have  needed  missing  days with some  more days: about  from  to
>   records              records  1012     600        0               8
>   note: wind_speed_comparison:4_to_16 needs and has the same as wind_speed_comparison:from_2
>   note: data of every source reach to 2026-03-10T00:00:00Z: 8.0 days of the period, 0.0 are left
>   note: there are enough data to decide by. The period ends at 2026-03-10T00:00:00Z: `run` decides it then
>   note: deviations and outcomes are not shown: who watches them is tempted to stop when they please
# Stamps that name the start of an interval: it is there when its row is.
$ sed 's/stamp = "end"/stamp = "start"/' small/campaign.lua >small/start.lua; windassay progress small/start.lua --json | /usr/bin/python3 -c 'import json, sys; p = json.load(sys.stdin); print(p["until"], p["days_left"], p["sources"][0]["until"])'
> 2026-03-10T00:00:00Z 0 2026-03-10T00:00:00Z
# A check of one's own takes part: it says what it needs.
$ mkdir -p small/checks small/criteria; cat >small/checks/planted.lua <<'LUA'
. local check = { title = "Planted", practice = "none", needs = { "reference.wind_speed" },
.   parameters = { records = { 100, "records", "records that are needed" }, hours = { 150, "h", "hours above 8 m/s" } } }
. function check.run(campaign, p, report)
.   local r = campaign.intervals
.   local cup = r.reference:find{ quantity = "wind_speed" }.mean
.   r:need(cup)
.   local v = r:kept(cup)
.   report:coverage("records", { records = v, at_least = p.records })
.   report:coverage("strong wind", { records = v:where(v:above(8, "m/s")), hours = p.hours })
.   report:coverage("bins", { records = v, bins = bin.by(v, { edges = { 4, 8, 12, 30 }, at_least = 20 }) })
.   report:require("mean", v:mean(), { unit = "m/s", scatter_only = "planted" })
. end
. return check
. LUA
. cat >small/criteria/planted.lua <<'LUA'
. return { title = "Planted", source = "test", evidence = "invented", rule = "simple", limits = {
.   { check = "planted", require = "mean", lower = 1, unit = "m/s" } } }
. LUA
. cat >planted <<'SH'
. #!/bin/sh
. # planted NAME PARAMETERS: a campaign that asks for the planted check until the middle of March
. sed 's/2026-03-10T00/2026-03-15T00/; /^  checks = {/,$d' small/campaign.lua >small/$1.lua
. printf '  checks = { { "planted", %scriteria = { contract = "planted" } } },\n}\n' "$2" >>small/$1.lua
. SH
. chmod +x planted; ./planted own ''; windassay progress small/own.lua
>
>   samples so far
>   source  beam  range [m]  data until, UTC       expected  read  dropped  read of expected [%]
>   lidar                    2026-03-10T00:00:00Z      1152  1140        0                 98.96
>   mast                     2026-03-10T00:00:00Z      1152  1152        0                100.00
>
>   checks
>   id       waited for  state        used [h]  bins filled  what is missing
>   planted  yes         more needed       192  3 of 3       114.2 h of data, 150 h needed
>
>   planted
>   what         bin centre  unit       have  needed  missing  days with some  more days: about  from  to
>   records               -  records  1152.0     100      0.0               8
>   strong wind           -  h         114.2     150     35.9               8  2.5               2.3   2.8
>   bins                  6  records   278.0      20      0.0               8
>   bins                 10  records   311.0      20      0.0               8
>   bins                 21  records   375.0      20      0.0               8
>   note: data of every source reach to 2026-03-10T00:00:00Z: 8.0 days of the period, 5.0 are left
>   note: not yet enough to decide by
>   note: forecast: everything is there in about 2.5 more days; in 80 of 100 cases between 2.3 and 2.8 more days
>   note: how sure that is: it waits for the slowest of what is missing; it takes the weather so far for a sample of the weather to come, one day independent of the next, and the records of a day as spells. Calm or wind that lasts for days makes it less sure than the numbers say
>   note: deviations and outcomes are not shown: who watches them is tempted to stop when they please
[2]
# Everything is there: that says nothing of the outcome, and the agreed period stands.
$ ./planted enough 'hours = 1, '; windassay progress small/enough.lua | tail -8
>   records               -  records  1152.0     100        0               8
>   strong wind           -  h         114.2       1        0               8
>   bins                  6  records   278.0      20        0               8
>   bins                 10  records   311.0      20        0               8
>   bins                 21  records   375.0      20        0               8
>   note: data of every source reach to 2026-03-10T00:00:00Z: 8.0 days of the period, 5.0 are left
>   note: there are enough data to decide by. The period ends at 2026-03-15T00:00:00Z: `run` decides it then
>   note: deviations and outcomes are not shown: who watches them is tempted to stop when they please
# Deviations and outcomes are shown on demand only; in JSON, too.
$ windassay progress small/enough.lua --show-outcome | grep -A5 'so far follows'
>   note: the outcome so far follows. It is not the result: a campaign that is stopped when it pleases proves nothing, and the period that was agreed stands in the report
> pass: Unit NL-0420 beside the Ravnmoor mast, eight days
> Pass: the contractual requirement is met.
> status of the report: preliminary
>
> planted: Planted: pass
$ for more in '' --show-outcome; do windassay progress small/own.lua --json $more | /usr/bin/python3 -c '
. import json, sys
. p = json.load(sys.stdin)
. print(p["schema"], p["enough"], p["until"], p["days"], p["days_left"], sorted(p))
. for c in p["checks"]:
.     for k in c["coverage"]:
.         print(c["id"], c["waited_for"], k["name"], k["needed"], k["unit"], [(r.get("centre"), r["have"], r["missing"], r["days"]) for r in k["rows"]])
. '; done
> windassay-progress-1 False 2026-03-10T00:00:00Z 8 5 ['checks', 'days', 'days_left', 'enough', 'forecast', 'from', 'left_out', 'no_forecast', 'schema', 'sources', 'title', 'to', 'until']
> planted True records 100 records [(None, 1152, 0, 8)]
> planted True strong wind 150 h [(None, 114.16666666666666, 35.83333333333334, 8)]
> planted True bins 20 records [(6, 278, 0, 8), (10, 311, 0, 8), (21, 375, 0, 8)]
> windassay-progress-1 False 2026-03-10T00:00:00Z 8 5 ['checks', 'days', 'days_left', 'enough', 'forecast', 'from', 'left_out', 'no_forecast', 'record', 'schema', 'sources', 'title', 'to', 'until']
> planted True records 100 records [(None, 1152, 0, 8)]
> planted True strong wind 150 h [(None, 114.16666666666666, 35.83333333333334, 8)]
> planted True bins 20 records [(6, 278, 0, 8), (10, 311, 0, 8), (21, 375, 0, 8)]
# `run` writes nothing of it into the record.
$ windassay run small/own.lua >run.txt; grep -c coverage small/own.dossier/data/result.json; grep ^inconclusive: run.txt
> 0
> inconclusive: Unit NL-0420 beside the Ravnmoor mast, eight days
# The last row of a file may still be being written: progress leaves it out and says so, run refuses it.
$ tail -c 60 small/mast.csv >end; printf '2026-03-10 00:' >>small/mast.csv; windassay progress small/own.lua | grep -E 'line end|reach'
>   note: data of every source reach to 2026-03-10T00:00:00Z: 8.0 days of the period, 5.0 are left
>   note: mast.csv:1155: the last row has no line end and was left out: it may still be being written (`run` takes whole files only)
$ windassay run small/own.lua --into torn
! windassay: small/mast.csv:1155:1: 1 field, 6 expected
!   the last row has no line end: torn while it was written? take a whole file, or the row out of it
[65]
# In the middle of a quoted field, too; a whole file is no less whole without a line end, but it cannot be told.
$ printf '"2026-03-10 00:10' >>small/mast.csv; sed -i '$s/.*/"2026-03-10 00:10/' small/mast.csv; printf %s "$(cat small/mast.csv)" >m; mv m small/mast.csv
. tail -c 18 small/mast.csv; echo; windassay progress small/own.lua | grep 'line end'
>
> "2026-03-10 00:10
>   note: mast.csv:1155: the last row has no line end and was left out: it may still be being written (`run` takes whole files only)
# What a check may not say.
$ try() { sed "s/report:coverage(\"records\".*/$1/" small/checks/planted.lua >p; cp small/checks/planted.lua keep; mv p small/checks/planted.lua
.   windassay progress small/own.lua --json | /usr/bin/python3 -c 'import json, sys; c = json.load(sys.stdin)["checks"][0]; print(c["state"], "|", c.get("reason"))'; mv keep small/checks/planted.lua; }
. try 'report:coverage("x", { at_least = 3 })'
. try 'report:coverage("x", { records = v })'
. try 'report:coverage("x", { records = v, at_least = 3, hours = 2 })'
. try 'report:coverage("x", { records = v, hours = -1 })'
. try 'report:coverage("x", { records = v:where(v:above(8, "m\/s")), bins = bin.by(v, { edges = { 4, 8 } }) })'
. try 'report:coverage("x", { records = column.new({ 1, 2 }, "m\/s"), at_least = 3 })'
. try 'report:coverage("x", { records = v, bins = 3 })'
> broke | report:coverage: 'x': which records count?
> broke | report:coverage: 'x': needs one of bins, at_least, hours
> broke | report:coverage: 'x': needs one of bins, at_least, hours
> broke | report:coverage: 'x': less than nothing cannot be needed
> broke | report:coverage: 'x': the bins were made from 1152 records, the column has 685
> broke | report:coverage: 'x': the records have no times
> broke | report:coverage: 'x': bins: expected bins, got number
# Phases: one is over and short, one still runs, one has not begun; and files that are to come.
$ ./planted phases 'each = "phase", records = 300, hours = 100, ' && sed -i 's/^  roles/  phases = { { name = "one", from = "2026-03-02T00:00:00Z", to = "2026-03-04T00:00:00Z" }, { name = "two", from = "2026-03-05T12:00:00Z", to = "2026-03-11T00:00:00Z" }, { name = "three", from = "2026-03-12T00:00:00Z", to = "2026-03-15T00:00:00Z" } },&/; s/"unit.csv"/&, "unit-*.csv"/' small/phases.lua
. sed -i 's/  r:need(cup)/  r:need(cup)\n  r:exclude("another phase", ~r:during(campaign.phase))/' small/checks/planted.lua
. windassay progress small/phases.lua | grep -v 'samples so far'
>
>   source  beam  range [m]  data until, UTC       expected  read  dropped  read of expected [%]
>   lidar                    2026-03-10T00:00:00Z      1152  1140        0                 98.96
>   mast                     2026-03-10T00:00:00Z      1152  1152        0                100.00
>
>   checks
>   id             waited for  state        used [h]  bins filled  what is missing
>   planted.one    yes         more needed        48  3 of 3       288 records, 300 needed; 26.8 h of data, 100 h needed
>   planted.two    yes         more needed       108  3 of 3       63.0 h of data, 100 h needed
>   planted.three  yes         not begun           -               its time begins at 2026-03-12T00:00:00Z
>
>   planted.one
>   what         bin centre  unit      have  needed  missing  days with some  more days: about  from  to
>   records               -  records  288.0     300     12.0               2  its time is over
>   strong wind           -  h         26.8     100     73.2               2  its time is over
>   bins                  6  records   73.0      20      0.0               2
>   bins                 10  records   65.0      20      0.0               2
>   bins                 21  records   96.0      20      0.0               2
>
>   planted.two
>   what         bin centre  unit     have  needed  missing  days with some  more days: about  from  to
>   records               -  records   648     300        0               5
>   strong wind           -  h          63     100       37               5  2.6               2.4   2.9
>   bins                  6  records   162      20        0               5
>   bins                 10  records   188      20        0               5
>   bins                 21  records   191      20        0               5
>   note: data of every source reach to 2026-03-10T00:00:00Z: 8.0 days of the period, 5.0 are left
>   note: mast.csv:1155: the last row has no line end and was left out: it may still be being written (`run` takes whole files only)
>   note: not yet enough to decide by
>   note: 3 of what is missing have no forecast:
>   note:   planted.one, records: its time is over
>   note:   planted.one, strong wind: its time is over
>   note:   planted.three: its time begins at 2026-03-12T00:00:00Z
>   note: forecast: the rest is there in about 2.6 more days; in 80 of 100 cases between 2.4 and 2.9 more days
>   note: how sure that is: it waits for the slowest of what is missing; it takes the weather so far for a sample of the weather to come, one day independent of the next, and the records of a day as spells. Calm or wind that lasts for days makes it less sure than the numbers say
>   note: planted.two waits, and its time ends in 1.0 days
>   note: deviations and outcomes are not shown: who watches them is tempted to stop when they please
# A source that has no row yet.
$ head -2 small/mast.csv >m; mv m small/mast.csv; windassay progress small/own.lua
! windassay: source 'mast': no row in mast.csv
!   look at 'files' and 'header'
[65]
$ windassay progress
! windassay: progress: 0 words given where 1 is needed
!   usage: windassay progress CAMPAIGN.lua
[64]
