# What is agreed before the data; every later departure stands on the first page.
$ sed -i 's/^  checks = {/  agreement = "signed-off.json",\n  checks = {/' small/campaign.lua
. mkdir later; mv small/unit.csv small/mast.csv later; windassay agree small/campaign.lua --by ab --on 2026-02-27 | sed 's/[0-9a-f]\{64\}/DIGEST/'; mv later/* small
> small/signed-off.json
>   SHA-256  DIGEST
>   checks   7 with 139 parameters
>   criteria 2
>   scripts  18
>   input files that were there: 0
> to sign it: ssh-keygen -Y sign -f KEY -n windassay small/signed-off.json
# Once more: it says the same, who and when stay.
$ windassay agree small/campaign.lua --by cd --json | /usr/bin/python3 -c '
. import json, sys
. a = json.load(sys.stdin); v = a["agreement"]
. print(a["file"], a["was_there"], v["schema"], v["by"], v["on"], v["files_there"], list(v))
. print([(c["id"], c["parameters"].get("hours")) for c in v["checks"]], [c["name"] for c in v["criteria"]])
. print("report" in v["campaign"], v["campaign"]["period"]["to"], [s["path"] for s in v["scripts"]][:3])'
> small/signed-off.json True windassay-agreement-1 ab 2026-02-27 {'lidar': 0, 'mast': 0} ['schema', 'by', 'on', 'files_there', 'interface', 'arithmetic', 'version', 'campaign', 'checks', 'criteria', 'scripts']
> [('clock', None), ('availability', None), ('wind_speed_comparison', 180), ('wind_speed_comparison:from_2', 0), ('wind_speed_comparison:4_to_16', 0), ('wind_speed_comparison:norsewind.4_to_16', 100), ('wind_direction_comparison', None)] ['roadmap_minimum', 'norsewind']
> False 2026-03-10T00:00:00Z ['campaign/campaign.lua', 'scripts/checks/availability.lua', 'scripts/checks/clock.lua']
# A run that keeps to it says so.
$ windassay run small/campaign.lua --into kept >kept.txt; grep agreed kept.txt; ls kept/data/given | sed 's/[0-9a-f]\{12\}/DIGEST/'
> agreed before, signed-off.json: 0 departures
> agreement.DIGEST.json
$ cmp kept/data/given/agreement.* small/signed-off.json; grep -c 'Nothing departs from it' kept/data/report.html
> 1
# Departures: of the period, a sector, a parameter, a list that grew, a script that was required.
$ cp small/campaign.lua agreed.lua; sed -i 's/from = 52, to = 98/from = 52, to = 90/; s/2026-03-10T00/2026-03-09T00/; s/{ "clock" }/{ "clock", within = 3 }/; s/number = "R-0420"/number = "R-1"/' small/campaign.lua
. sed -i 's/  disturbed = {/  logbook = { { from = "2026-03-04T10:00:00Z", to = "2026-03-04T11:00:00Z", text = "cleaned", by = "ab", exclude = { "unit" } } },\n  disturbed = {/' small/campaign.lua
. windassay run small/campaign.lua --into departed >departed.txt; sed -n '4,11s/[0-9a-f]\{64\}/DIGEST/gp; 4,11p' departed.txt | sort -u
>
>   campaign: checks[1]: agreed ["clock"], now {"1":"clock","within":3}
>   campaign: disturbed[1].to: agreed 98, now 90
>   campaign: logbook: now [{"by":"ab","exclude":["unit"],"from":"2026-03-04T10:00:00Z","text":"cleaned","to":"2026-03-04T11:00:00Z"}]
>   campaign: period.to: agreed 2026-03-10T00:00:00Z, now 2026-03-09T00:00:00Z
>   check clock: within: agreed 144, now 3
>   script campaign/campaign.lua: agreed DIGEST, now DIGEST
> agreed before, signed-off.json: 6 departures
$ /usr/bin/python3 - <<'PY'
. import html, re
. page = open("departed/data/report.html", encoding="utf-8").read()
. at = page.index("What was agreed before")
. print(page.index("class=\"verdict") < at < page.index("What the contract asks for"))
. table = page[at:page.index("</table>", at)]
. for row in re.findall(r"<tr>(.*?)</tr>", table, re.S):
.     print(" | ".join(html.unescape(re.sub("<[^>]*>|[0-9a-f]{64}", "", c)) for c in re.findall(r"<t[hd].*?</t[hd]>", row)))
. print(html.unescape(re.sub("<[^>]*>", "", table[:table.index("<table")])).replace("\n", " ").split(", SHA")[0])
. PY
> True
> What | Agreed | Now
> campaign: checks[1] | ["clock"] | {"1":"clock","within":3}
> campaign: disturbed[1].to | 98 | 90
> campaign: period.to | 2026-03-10T00:00:00Z | 2026-03-09T00:00:00Z
> campaign: logbook | not said | [{"by":"ab","exclude":["unit"],"from":"2026-03-04T10:00:00Z","text":"cleaned","to":"2026-03-04T11:00:00Z"}]
> check clock: within | 144 | 3
> script campaign/campaign.lua |  | 
> What was agreed before Agreed by ab on 2026-02-27, as declared: signed-off.json
# Agreeing again would forget it: only on demand.
$ windassay agree small/campaign.lua --by cd
! windassay: small/signed-off.json: it was agreed otherwise: campaign: checks[1], and more
!   a later departure is no shame, `run` prints it; --replace forgets what was agreed
[64]
$ windassay agree small/campaign.lua --by cd --on 2026-03-20 --replace | sed 's/[0-9a-f]\{64\}/DIGEST/'; windassay run small/campaign.lua --into again | grep agreed
> small/signed-off.json
>   SHA-256  DIGEST
>   checks   7 with 139 parameters
>   criteria 2
>   scripts  18
>   input files that were there: 2
> to sign it: ssh-keygen -Y sign -f KEY -n windassay small/signed-off.json
> agreed before, signed-off.json: 0 departures
# Other criteria, and a check that is not asked any more.
$ sed -i 's/roadmap_minimum/roadmap_best_practice/; /"wind_direction_comparison"/d' small/campaign.lua; windassay run small/campaign.lua --into other | grep -E '^  (check|criteria) |^agreed'
> agreed before, signed-off.json: 9 departures
>   check wind_direction_comparison: agreed there, now not there
>   criteria roadmap_minimum: agreed there, now not there
>   criteria roadmap_best_practice: agreed not there, now there
# Without a name in the campaign: NAME.agreed.json beside it; a name that is not there is an error.
$ grep -v agreement agreed.lua >small/plain.lua; windassay agree small/plain.lua | head -1; windassay run small/plain.lua | grep agreed
> small/plain.agreed.json
> agreed before, plain.agreed.json: 0 departures
$ cp agreed.lua small/campaign.lua; rm small/signed-off.json; windassay run small/campaign.lua
! windassay: small/campaign.lua: agreement: there is no file 'signed-off.json'
!   'windassay agree' writes it, before there are data
[66]
$ sed -i 's/signed-off.json/..\/signed-off.json/' small/campaign.lua; windassay run small/campaign.lua
! windassay: small/campaign.lua:47: agreement: '../signed-off.json' is no file name
!   the name of a file beside the campaign: "campaign.agreed.json"
[65]
# What is no agreement.
$ for text in '{}' '{"schema":"windassay-agreement-1","campaign":{},"checks":[],"criteria":{"a":1},"scripts":[]}' '{"schema":"windassay-agreement-1","files_there":{"mast":1.5},"campaign":{},"checks":[],"criteria":[],"scripts":[]}' '[1'; do echo "$text" >small/plain.agreed.json; windassay run small/plain.lua --into bad; done
! windassay: small/plain.agreed.json: it is no agreement (windassay-agreement-1)
!   'windassay agree CAMPAIGN.lua' writes one
! windassay: small/plain.agreed.json: 'criteria' is not as an agreement has it
! windassay: small/plain.agreed.json: 'files_there' is not as an agreement has it
! windassay: small/plain.agreed.json:2: not JSON: ']' expected near end of file
[65]
$ ln -sf /etc/passwd small/plain.agreed.json; windassay run small/plain.lua --into bad
! windassay: small/plain.agreed.json: it is a link, or lies behind one
!   put the file itself there
[65]
# A shipped script that was changed where it is installed: the report shows how it departs from the release.
$ rm small/plain.agreed.json; cmake --install $BUILD --prefix $PWD/prefix >installed.txt; ln -s "$(find $PWD/prefix -type d -name scripts)" installed
. prefix/bin/windassay run small/plain.lua --into whole >whole.txt; grep -c release whole.txt whole/data/result.json
> whole.txt:0
> whole/data/result.json:0
[1]
$ sed -i 's/hours = hours }/hours = hours \/ 2 }/' installed/practice/completeness.lua; printf 'return 1\n' >installed/practice/own.lua
. sed -i 's/^local channels = /local own = require "practice.own"\nlocal channels = /' installed/checks/availability.lua
. prefix/bin/windassay run small/plain.lua --into edited >edited.txt; grep -A4 'not the scripts' edited.txt
> not the scripts of release 0.2.0 (the report shows the difference):
>   scripts/checks/availability.lua
>   scripts/practice/completeness.lua
>   scripts/practice/own.lua
>
$ /usr/bin/python3 - <<'PY'
. import html, json, re
. r = json.load(open("edited/data/result.json"))["release"]
. for s in r["scripts"]:
.     print(s["path"], s.get("diff", "no such script"), sep="\n")
. page = open("edited/data/report.html", encoding="utf-8").read()
. print(all(html.escape(s.get("diff", ""), quote=False).split("\n")[2][:30] in page for s in r["scripts"] if "diff" in s))
. PY
> scripts/checks/availability.lua
> @@ -3,6 +3,7 @@
>  -- intervals in which the reference was valid. Which of them a contract means is for the
>  -- contract to say.
>  
> +local own = require "practice.own"
>  local channels = require "practice.channels"
>  
>  local check = {
>
> scripts/practice/completeness.lua
> @@ -10,7 +10,7 @@
>  --- `reference` is the column that the bins were made from. Call it before what needs the data.
>  function completeness.require(report, reference, bins, hours, coverage)
>    if hours > 0 then
> -    report:coverage("hours", { records = reference:where(~bins.outside), hours = hours })
> +    report:coverage("hours", { records = reference:where(~bins.outside), hours = hours / 2 })
>    end
>    report:coverage("bins", { records = reference, bins = coverage or bins })
>  end
>
> scripts/practice/own.lua
> no such script
> True
# A dossier with an agreement and departures is computed again from itself alone.
$ windassay run small/plain.lua --into audited >text; windassay agree small/plain.lua --by ab >agreed.txt; sed -i 's/to = 98/to = 90/' small/plain.lua; windassay run small/plain.lua --into audited --replace >text; rm small/plain.agreed.json
. windassay audit audited --data small | grep -E '^(identical|differs)|outcome|from raw' | sed 's,  [0-9].*,  ...,'
>   from raw data   identical      ...
> identical, from the raw data on
$ windassay audit edited --data small | grep -E "script|^identical"
> scripts
>   scripts/checks/availability.lua differs from this release
>   scripts/practice/completeness.lua differs from this release
>   scripts/practice/own.lua not in this release
> identical, from the raw data on
# Misuse.
$ windassay agree
! windassay: agree: 0 words given where 1 is needed
!   usage: windassay agree CAMPAIGN.lua
[64]
$ windassay agree nowhere.lua
! windassay: nowhere.lua: there is no such file
[66]
$ windassay agree small/plain.lua --on 2026-02-30
! windassay: '--on 2026-02-30' is not a day of the calendar
!   2026-02-27
[64]
