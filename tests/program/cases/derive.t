# A wind reconstructed from two level beams at 15 degrees to both sides of an axis that heads to 285
# degrees: 9.8 and 9.2 m/s give 9.903191241 m/s, coming 6.721544853 degrees from the left (worked
# numbers of the two-beam case, computed with R), so from 278.278455147 degrees.
$ mkdir two; python3 -c 'print("time,beam,los"); [print(f"2026-03-02T00:{m:02d}:30Z,{b},{v}") for m in range(20) for b, v in ((1, 9.8), (2, 9.2))]' >two/beams.csv
. cat >two/campaign.lua <<'LUA'
. return {
.   interface = 1, title = "Two level beams (invented)",
.   lidar  = { serial = "NL-0421", heading = 285,
.              beams = { { azimuth = 15, elevation = 0 }, { azimuth = -15, elevation = 0 } } },
.   period = { from = "2026-03-02T00:00:00Z", to = "2026-03-02T00:20:00Z", interval = "10 min" },
.   roles  = { unit = { "beams" } },
.   sources = { beams = {
.     files = { "beams.csv" }, expected = { per = "beam", every = "60 s" },
.     time = { column = "time", format = "iso8601", zone = "UTC", stamp = "centre" },
.     split = { beam = "beam" },
.     channels = { los_speed = { column = "los", unit = "m/s", positive = "towards" } },
.   } },
.   derive = { wind_speed = reconstruct{ frame = "nacelle" },
.              wind_from_direction = reconstruct{ frame = "nacelle" } },
.   checks = { { "availability" } },
. }
. LUA
. windassay run two/campaign.lua --into out >text; echo $?; python3 -c 'import csv; [print(f"{h}: {a}, {b}") for h, a, b in zip(*csv.reader(open("out/data/intervals.csv"))) if "wind" in h]'
> 0
> beams.wind_from_direction.count: 10, 10
> beams.wind_from_direction.mean [degree]: 278.27845514738584, 278.27845514738584
> beams.wind_from_direction.availability: 1, 1
> beams.wind_speed.count: 10, 10
> beams.wind_speed.mean [m s-1]: 9.90319124112829, 9.90319124112829
> beams.wind_speed.availability: 1, 1
# Away instead of towards: the other sign.
$ sed -i 's/towards/away/' two/campaign.lua; windassay run two/campaign.lua --into away >text; python3 -c 'import csv; [print(f"{h}: {a}") for h, a, b in zip(*csv.reader(open("away/data/intervals.csv"))) if "direction.mean" in h]'
> beams.wind_from_direction.mean [degree]: 98.27845514738584
# The heading may be a quantity with its unit and uncertainty.
$ sed 's/away/towards/; s/heading = 285/heading = { 285, "degree", u = 0.5 }/' two/campaign.lua >two/quantity.lua; windassay run two/quantity.lua --into quantity >text; python3 -c 'import csv; [print(f"{h}: {a}") for h, a, b in zip(*csv.reader(open("quantity/data/intervals.csv"))) if "direction.mean" in h]'
> beams.wind_from_direction.mean [degree]: 278.27845514738584
# What is missing is said.
$ printf '#!/bin/sh\nsed "$1" two/campaign.lua >two/bad.lua\nwindassay run two/bad.lua --into bad\n' >edit; chmod +x edit
$ ./edit 's/heading = 285,//'
! windassay: two/bad.lua:14: derive.wind_from_direction.reconstruct: a wind direction needs the heading of the lidar's axis
!   heading = 285 (degrees) here or in lidar, or lidar.heading = "fit"
[65]
$ ./edit 's/frame = "nacelle"/frame = "nacele"/'
! windassay: two/bad.lua:14: derive.wind_from_direction.reconstruct.frame: 'nacele' is not known here
!   it is one of "nacelle", "earth"
[65]
$ ./edit 's/reconstruct{ frame = "nacelle" }/reconstruct{}/'
! windassay: two/bad.lua:14: derive.wind_from_direction.reconstruct: 'frame' is not stated
!   frame = "nacelle" or "earth"
[65]
$ ./edit 's/, { azimuth = -15, elevation = 0 }//'
! windassay: two/bad.lua: the wind is not determined: 1 beam for 2 unknowns
[65]
$ ./edit 's/elevation = 0 } }/elevation = 0 }, { azimuth = 0, elevation = 0 } }/'
! windassay: two/bad.lua: derive.wind_from_direction: the files have no 'los_speed' of beam 3
[65]
$ ./edit 's/wind_speed = reconstruct/turbulence = reconstruct/'
! windassay: two/bad.lua:13: derive.turbulence: a reconstruction gives a wind speed or a wind direction
!   wind_speed or wind_from_direction
[65]
$ ./edit 's/los_speed = {/radial = {/'
! windassay: two/bad.lua:11: sources.beams.channels.radial.positive: only a 'los_speed' has a sign convention
[65]
