# An issued dossier (status "final") is never replaced. A report can be final only where nothing that
# it hangs on is merely recalled.
$ cp -r broken/checks small; cat >small/final.lua <<'LUA'
. local good = require "campaign"
. local final = {}
. for key, value in pairs(good) do final[key] = value end
. final.report = { number = "R-0420", revision = 1, status = "final" }
. final.checks = { { "fine" } }
. return final
. LUA
. windassay run small/final.lua --into final >text; echo $?; head -3 text
> 0
> no decision asked: Unit NL-0420 beside the Ravnmoor mast, eight days
> No decision asked: no contract names limits for these checks.
> status of the report: final
$ sed -i 's/revision = 1/revision = 2/' small/final.lua; windassay run small/final.lua --into final >/dev/null
! windassay: final: another dossier is there, and stays
!   --replace puts the new one in its place
[64]
$ windassay run small/final.lua --into final --replace >/dev/null
! windassay: final: the dossier that is there was issued (status final) and stays
[64]
$ grep -o '"revision": *[0-9]' final/data/result.json; ls -A | grep final
> "revision": 1
> final
# The same evidence again is success, also for an issued one.
$ sed -i 's/revision = 2/revision = 1/' small/final.lua; windassay run small/final.lua --into final >text; echo $?; tail -1 text
> 0
> dossier: final (was there already, with the same evidence)
# Nothing is put inside a dossier, which would be damaged by it.
$ windassay run small/campaign.lua --into kept >/dev/null; windassay run small/campaign.lua --into kept/data/second
! windassay: kept/data/second: it lies inside a dossier, which would be damaged
[64]
$ windassay deliver kept --withhold customer --into kept/copy
! windassay: kept/copy: it lies inside a dossier, which would be damaged
[64]
$ windassay audit kept | tail -1; ls -A kept | grep -c .
> identical, from the intervals on; the raw data were not read
> 5
