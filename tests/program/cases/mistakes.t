# What engineers get wrong at first, and what they are told. `wrong` runs the campaign with something replaced.
$ cat >wrong <<'SH'
. #!/bin/sh
. sed "$1" small/campaign.lua >small/wrong.lua
. ! cmp -s small/wrong.lua small/campaign.lua || echo "nothing was replaced"
. windassay run small/wrong.lua --into out --replace >text; code=$?
. grep -E 'likely cause|Broken' text; echo "exit code $code"
. SH
. chmod +x wrong
# The wrong zone, the wrong end of the interval: no fault of the files, but the clock check says so.
$ ./wrong 's/UTC+01:00/UTC/'; ./wrong '0,/stamp = "end"/s//stamp = "start"/'
>   note: likely cause: time zone or summer time: 1 h
> exit code 1
>   note: likely cause: stamps of interval start taken for end, or the other way round
> exit code 1
# Zones that are no offsets, and none at all.
$ ./wrong 's/UTC+01:00/CET/'; ./wrong 's/zone = "UTC+01:00",//'
> exit code 65
> exit code 65
! windassay: small/wrong.lua:30: sources.mast.time.zone: 'CET' is not a zone
!   zones are fixed offsets: "UTC", "UTC+01:00", or a dated list of them
! windassay: small/wrong.lua:30: sources.mast.time: 'zone' is not stated
!   it has no default: "UTC", "UTC+01:00", a dated list, or "in stamp" where every stamp states its offset
# The wrong year; day and month exchanged, which the first rows allow.
$ ./wrong 's/2026-03/2025-03/g'; windassay look small/wrong.lua | grep 'none of'
> exit code 65
>   note: none of the rows of 'lidar' lies in the period: `run` will refuse it
>   note: none of the rows of 'mast' lies in the period: `run` will refuse it
! windassay: source 'lidar': none of its 1140 rows lies in the period
!   its stamps reach from 2026-03-02T00:10:00Z to 2026-03-10T00:00:00Z; look at 'period', 'files', 'time'
$ ./wrong 's/%d.%m.%Y/%m.%d.%Y/; s/2026-03-02T/2026-03-04T/'
> exit code 65
! windassay: source 'mast': none of its 1152 rows lies in the period
!   its stamps reach from 2026-02-03T00:10:00Z to 2026-10-03T00:00:00Z; look at 'period', 'files', 'time'
# Files that hold no row: that is no measured lack of data.
$ head -n 2 small/mast.csv >small/empty.csv; cp small/empty.csv small/empty2.csv; sed 's/"mast.csv"/"empty*.csv"/' small/campaign.lua >small/wrong.lua
. windassay run small/wrong.lua --into out; windassay look small/wrong.lua | grep 'no row'; rm small/empty*.csv
>   note: no row in the files of 'mast': `run` will refuse it
! windassay: source 'mast': no row in empty.csv, empty2.csv
!   look at 'files' and 'header'
# Decimal comma, delimiter, a column of another name.
$ ./wrong 's/decimal  = ",", *//'; ./wrong 's/"v mean"/"v_mean"/'
> exit code 65
> exit code 65
! windassay: small/mast.csv:3:18: column 'v mean': '0,99' is not a number
!   the file uses a decimal comma? set decimal = "," for the source
! windassay: small/mast.csv:1:14: source 'mast', channel 'cup': no column 'v_mean'
!   did you mean 'v mean'?
# Units: unknown ones, and one that the file contradicts.
$ ./wrong '0,/unit = "m.s"/s//unit = "mps"/'; ./wrong '0,/unit = "m.s"/s//unit = "kts"/'; ./wrong 's/unit = "degC"/unit = "K"/'
> exit code 65
> exit code 65
> exit code 65
! windassay: small/wrong.lua:24: sources.lidar.channels.wind_speed.unit: unit 'mps' is not known
!   units are spelled as "m/s", "m s-1", "knot", "degree", "degC", "%", "hPa", "dB"; "1" is the pure number
! windassay: small/wrong.lua:24: sources.lidar.channels.wind_speed.unit: unit 'kts' is not known
!   units are spelled as "m/s", "m s-1", "knot", "degree", "degC", "%", "hPa", "dB"; "1" is the pure number
! windassay: small/mast.csv:2:22: the unit is 'degC' here, 'K' in the campaign
# No such instrument, no such source, no such file.
$ ./wrong 's/use = "primary" }/use = "primary", instrument = "cup_top" }/'; ./wrong 's/reference = { "mast" }/reference = { "masts" }/'; ./wrong 's/"unit.csv"/"units.csv"/'
> exit code 65
> exit code 65
> exit code 66
! windassay: small/wrong.lua:38: sources.mast.channels.cup.instrument: there is no instrument 'cup_top'
!   instruments = { NAME = { fitted = { ... } } }
! windassay: small/wrong.lua:15: roles.reference[1]: there is no source 'masts'
! windassay: source 'lidar': no file matches 'units.csv'
!   'unit.csv' is there
# One file named twice counts once; its copy is an error, or the same rows again where that is said.
$ cp small/unit.csv small/unit_copy.csv; ./wrong 's/"unit.csv"/"unit.csv", "unit.csv"/'; ./wrong 's/"unit.csv"/"unit*.csv"/'; ./wrong 's/{ "unit.csv" }/{ "unit*.csv" }, overlap = "identical"/'
>   note: likely cause: none: the clocks agree
> exit code 0
> exit code 65
>   note: likely cause: none: the clocks agree
> exit code 0
! windassay: small/unit_copy.csv:2:1: a second row of 2026-03-02T00:10:00Z
!   overlap = "identical" lets equal rows count once
# The last row is torn: between two fields, or by its line end alone.
$ cp small/unit.csv whole.csv; head -c -16 whole.csv >small/unit.csv; ./wrong 's/eight days/8 days/'; truncate -s -1 whole.csv; cp whole.csv small/unit.csv; ./wrong 's/eight days/8 days/'
> exit code 65
>   note: likely cause: none: the clocks agree
> exit code 0
! windassay: small/unit.csv:1141:1: 4 fields, 6 expected
!   the last row has no line end: torn while it was written? take a whole file, or the row out of it
# A parameter of another kind; one that breaks the check, though the contract does not hang on that run.
$ ./wrong 's/"clock"/"clock", within = "3"/'; ./wrong 's/"wind_speed_comparison", /"wind_speed_comparison", width = { 0.5, "knot" }, /'; ./wrong 's/"wind_speed_comparison", /"wind_speed_comparison", width = -1, /'; head -2 text
> exit code 65
> exit code 65
> Pass: all 9 contractual requirements are met. Broken, without a part in this: wind_speed_comparison.
>   note: likely cause: none: the clocks agree
> exit code 69
> pass: Unit NL-0420 beside the Ravnmoor mast, eight days
> Pass: all 9 contractual requirements are met. Broken, without a part in this: wind_speed_comparison.
! windassay: check 'clock': parameter 'within': it is set to a text, its default is a number
!   write a plain number, in intervals
! windassay: check 'wind_speed_comparison': parameter 'width': it is set to a list, its default is a number
!   write a plain number, in m/s
# The unit measures at another height than the reference.
$ ./wrong '0,/height = 8.9/s//height = 100/'; grep 'reference stands' text | sort -u
>   note: likely cause: none: the clocks agree
> exit code 0
>   note: the reference stands at 8.4 m, the unit measures at 8.9 m: the difference is not corrected
>   note: the reference stands at 8.9 m, the unit measures at 100 m: the difference is not corrected
# The campaign's own set of limits has the name of one of the program's: neither hides the other.
$ mkdir -p small/criteria; sed 's/0.97, 1.03/0.999, 1.001/' $ROOT/scripts/criteria/roadmap_minimum.lua >small/criteria/roadmap_minimum.lua; ./wrong 's/eight days/8 days/'
> exit code 69
! windassay: 'criteria.roadmap_minimum' is in the program's scripts and in the campaign's folder
!   give the campaign's criteria/roadmap_minimum.lua another name
