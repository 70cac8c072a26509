# Files outside the campaign's folder are not read, by whatever way.
$ printf '#!/bin/sh\nsed "$1" small/campaign.lua >small/bad.lua\nwindassay run small/bad.lua --into out\n' >edit; chmod +x edit
$ ./edit 's/"unit.csv"/"..\/unit.csv"/'
! windassay: small/bad.lua:18: sources.lidar.files[1]: the path '../unit.csv' has a component '.' or '..'
!   paths are relative to the campaign's folder, or begin with root:
[65]
$ ./edit 's/"unit.csv"/"\/etc\/passwd"/'
! windassay: small/bad.lua:18: sources.lidar.files[1]: the path '/etc/passwd' is absolute
!   paths are relative to the campaign's folder, or begin with root:
[65]
$ cp small/unit.csv elsewhere.csv; ln -s ../elsewhere.csv small/link.csv; ./edit 's/"unit.csv"/"link.csv"/'
! windassay: source 'lidar': 'link.csv' is a link
!   put the file itself there
[65]
$ ./edit 's/"unit.csv"/"root:unit.csv"/'
! windassay: small/bad.lua:18: sources.lidar.files[1]: 'root:unit.csv': there is no root
!   a file fleet.lua in a folder above marks the root
[65]
$ sed 's/^return {/local x = require "shared.site"\nreturn {/' small/campaign.lua >small/bad.lua; windassay run small/bad.lua --into out
! windassay: small/bad.lua:7: there is no script 'shared.site'
!      7 | local x = require "shared.site"
!   no folder above the campaign holds a fleet.lua, so there is no shared/
[65]
$ sed 's/^return {/local x = require "practice.sektors"\nreturn {/' small/campaign.lua >small/bad.lua; windassay run small/bad.lua --into out
! windassay: small/bad.lua:7: there is no script 'practice.sektors'
!      7 | local x = require "practice.sektors"
!   looked for practice/sektors.lua in the program's scripts
[65]
# A folder above with fleet.lua is the root: shared files and shared data lie there.
$ mkdir shared; echo 'return { title = "root" }' >fleet.lua; echo 'return { from = 52, to = 98, reason = "wake of turbine T2" }' >shared/site.lua
. mkdir masts; cp small/mast.csv masts; sed 's/"mast.csv"/"root:masts\/*.csv"/; s/^return {/local site = require "shared.site"\nreturn {/; s/disturbed = .*/disturbed = { site },/' small/campaign.lua >small/rooted.lua
. windassay run small/rooted.lua --into rooted >text; echo $?; cut -d, -f1,2 rooted/data/inputs.csv; (cd rooted/data/scripts && find . -path '*site*')
> 0
> path,source
> unit.csv,lidar
> root:masts/mast.csv,mast
> ./root/shared/site.lua
# What steers a terminal or a browser is shown, not obeyed.
$ sed 's/title  = "[^"]*"/title = "\\27[31mred <script>alert(1)<\/script>"/' small/campaign.lua >small/odd.lua
. windassay run small/odd.lua --into odd >text; echo $?; head -1 text; grep -c "$(printf '\033')" text; grep -c '<script>alert' odd/data/report.html
> 0
> pass: \x1b[31mred <script>alert(1)</script>
> 0
> 0
[1]
# Two runs into the same folder at the same time: both succeed, the dossier is whole.
$ windassay run small/campaign.lua --into both >one.txt & windassay run small/campaign.lua --into both >two.txt; echo $?; wait $!; echo $?
. cd both && sha256sum -c --strict --quiet manifest-sha256.txt && echo whole; cd ..; ls -A | grep both
> 0
> 0
> whole
> both
# A result that cannot be written is an error of its own.
$ windassay checks >/dev/full
! windassay: cannot write the result: No space left on device
[74]
$ windassay run small/campaign.lua --into full >/dev/full; echo $?; ls -d full
> 74
> full
! windassay: cannot write the result: No space left on device
# Sources that give less: what a check cannot judge it says, and what it needs is named beforehand.
$ sed 's/^ *wind_from_direction.*//; /^ *vane /,/^ *height = 8.4 },/d' small/campaign.lua >small/less.lua; windassay run small/less.lua --into less >text; echo $?
. grep -E '^wind_direction_comparison' text; /usr/bin/python3 - <<'PY'
. import json
. for c in json.load(open("less/data/result.json"))["checks"]:
.     if c["id"].startswith(("wind_direction", "wind_speed_comparison")):
.         print(c["id"], c["status"], c.get("reason"), c["notes"], sep=" | ")
. PY
> 2
> wind_direction_comparison: Wind direction against the reference: not applicable
> wind_speed_comparison | inconclusive | 140.5 h of data, 180 h needed | ['the reference has no wind direction: disturbed sectors are not excluded', "the campaign names no instrument for the reference's wind speed: its uncertainty is not known, only the scatter of the records"]
> wind_speed_comparison:from_2 | ran | None | ['the reference has no wind direction: disturbed sectors are not excluded', "the campaign names no instrument for the reference's wind speed: its uncertainty is not known, only the scatter of the records"]
> wind_speed_comparison:4_to_16 | ran | None | ['the reference has no wind direction: disturbed sectors are not excluded', "the campaign names no instrument for the reference's wind speed: its uncertainty is not known, only the scatter of the records"]
> wind_speed_comparison:norsewind.4_to_16 | ran | None | ['the reference has no wind direction: disturbed sectors are not excluded', "the campaign names no instrument for the reference's wind speed: its uncertainty is not known, only the scatter of the records"]
> wind_direction_comparison | not applicable | the campaign has no unit.wind_from_direction | []
