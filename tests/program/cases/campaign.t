# Campaign files that are not as they must be: file, line, key, what was found, what is near.
# `edit` makes small/bad.lua from the good campaign by a sed expression and runs it.
$ printf '#!/bin/sh\nsed "$1" small/campaign.lua >small/bad.lua\nwindassay run small/bad.lua --into out\n' >edit; chmod +x edit
$ ./edit 's/  title  =/  titel  =/'
! windassay: small/bad.lua:9: titel: 'titel' is not known here
!   'title'?
[65]
$ ./edit 's/zone = "UTC", //'
! windassay: small/bad.lua:19: sources.lidar.time: 'zone' is not stated
!   it has no default: "UTC", "UTC+01:00", a dated list, or "in stamp" where every stamp states its offset
[65]
$ ./edit 's/zone = "UTC+01:00"/zone = "Europe\/Oslo"/'
! windassay: small/bad.lua:30: sources.mast.time.zone: 'Europe/Oslo' is not a zone
!   zones are fixed offsets: "UTC", "UTC+01:00", or a dated list of them
[65]
$ ./edit 's/, stamp = "end" },$/ },/'
! windassay: small/bad.lua:19: sources.lidar.time: 'stamp' is not stated
!   it has no default: does a stamp name the "start", the "centre" or the "end" of a sample or interval?
[65]
$ ./edit 's/stamp = "end" },$/stamp = "middle" },/'
! windassay: small/bad.lua:19: sources.lidar.time.stamp: 'middle' is not known here
!   it is one of "start", "centre", "end"
[65]
$ ./edit 's/reference = { "mast" }/reference = { "masts" }/'
! windassay: small/bad.lua:15: roles.reference[1]: there is no source 'masts'
[65]
$ ./edit 's/roles  = {/rolls  = {/'
! windassay: small/bad.lua:15: rolls: 'rolls' is not known here
!   'roles'?
[65]
$ ./edit 's/mean = "v mean"/mean = "v meen"/'
! windassay: small/mast.csv:1:14: source 'mast', channel 'cup': no column 'v meen'
!   did you mean 'v mean'?
[65]
$ ./edit 's/unit = "degC"/unit = "C"/'
! windassay: small/bad.lua:41: sources.mast.channels.temperature.unit: unit 'C' is not known
!   units are spelled as "m/s", "m s-1", "knot", "degree", "degC", "%", "hPa", "dB"; "1" is the pure number
[65]
$ ./edit 's/unit = "degC"/unit = "m\/s"/'
! windassay: small/bad.lua:41: sources.mast.channels.temperature.unit: 'air_temperature' is given in 'm s-1', which is no unit of it (such as 'degC')
[65]
$ ./edit 's/decimal  = ","/decimals  = ","/'
! windassay: small/bad.lua:33: sources.mast.decimals: 'decimals' is not known here
!   'decimal'?
[65]
$ ./edit 's/to = "2026-03-10T00:00:00Z"/to = "2026-03-01T00:00:00Z"/'
! windassay: small/bad.lua:14: period: 'from' is not before 'to'
[65]
$ ./edit 's/to = "2026-03-10T00:00:00Z"/to = "10 March"/'
! windassay: small/bad.lua:14: period.to: '10 March' is not a time: the year must have 4 digits
!   write "2026-03-02T00:00:00Z"
[65]
$ ./edit 's/interval = "10 min",$/interval = "15 min",/'
! windassay: small/bad.lua:20: sources.lidar.interval: the source is averaged over 15 min, the campaign over 10 min
!   an averaged source has the interval of the campaign
[65]
$ ./edit 's/{ "clock" }/{ "clocks" }/'
! windassay: small/bad.lua: there is no script 'checks.clocks'
!   did you mean 'clock'?
[65]
$ ./edit 's/{ "clock" }/{ "clock", within = 12, widthin = 3 }/'
! windassay: check 'clock': parameters 'widthin': the check has no such parameter
!   did you mean 'within'?
[65]
$ ./edit 's/{ "clock" }/{ "clock" }, { "clock" }/'
! windassay: small/bad.lua:48: checks[2]: two checks have the id 'clock'
!   give one of them another: id = "..."
[65]
$ ./edit 's/contract = "roadmap_minimum"/contract = "roadmap_minimal"/'
! windassay: small/bad.lua: there is no script 'criteria.roadmap_minimal'
!   did you mean 'roadmap_minimum'?
[65]
$ ./edit 's/interface = 1/interface = 7/'
! windassay: small/bad.lua:8: interface: interface 7 is not known; this version knows 1
[65]
$ ./edit 's/status = "preliminary"/status = "final"/' 2>&1 | sed 's/but [0-9]* /but N /'
> windassay: small/bad.lua: report.status is 'final', but N defaults or limits are recalled and not confirmed
>   clock: defaults icing_above, icing_below, icing_hours, icing_until
>   availability: default valid; limits system_availability, valid_availability
>   wind_speed_comparison: defaults at_least, availability, deviation, flat_above, flat_sd, flow, highest, hours, icing_above, icing_below, icing_hours, icing_until, lowest, mounting, precipitation, separation, spike_times, spike_window, stuck, stuck_cup, width, window; limits slope_records, r2_centred_records
>   wind_direction_comparison: defaults availability, flat_above, flat_sd, icing_above, icing_below, icing_hours, icing_until, lowest, precipitation, records, spike_times, spike_window, stuck, stuck_cup; limits slope, offset, r2_pearson
>   confirm them in the criteria or the checks (confirmed = { NAME = { clause =, edition =, by = } }), or keep the report 'preliminary'
$ ./edit 's/^return {/return nil, {/'
! windassay: the campaign file returned nothing
!   the file ends with 'return' and its table
[65]
$ ./edit 's/^return {/return {{/'
! windassay: small/bad.lua:54: '}' expected (to close '{' at line 7) near <eof>
!     54 | 
[65]
$ ./edit 's/"roadmap_minimum"/os.getenv("HOME")/'
! windassay: small/bad.lua:5: 'os' is not available in scripts
!      5 | local decided = { contract = os.getenv("HOME"), information = { "norsewind" } }
!   a script sees no clock and no system: its result must be the same next year
[65]
# None of them left a dossier.
$ ls -d out out.* 2>&1
> ls: cannot access 'out': No such file or directory
> ls: cannot access 'out.*': No such file or directory
[2]
