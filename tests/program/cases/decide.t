# Other criteria decide what a dossier measured, without its data: a new revision, which says what it
# replaces and what changed, and which anyone can compute again.
$ windassay run small/campaign.lua >/dev/null; mkdir aside; mv small/*.csv aside
. cat >strict_2026.lua <<'LUA'
. return {
.   title = "A stricter slope from 5 to 10 m/s", source = "invented", evidence = "invented", rule = "simple",
.   limits = { { check = "wind_speed_comparison", run = "5 to 10", require = "slope_records", lower = 0.98, upper = 1.001,
.                unit = "1", parameters = { lowest = 5, highest = 10, at_least = 1, hours = 1, coverage_at_least = 1, coverage_edges = { 5, 10 } } } } }
. LUA
. windassay decide small/campaign.dossier --criteria strict_2026.lua --reason "asked by C-031" >text; echo $?; sed "s/sha256 [0-9a-f]*/sha256 D/; 7q" text; tail -1 text
> 1
> fail: Unit NL-0420 beside the Ravnmoor mast, eight days
> Fail: 1 of 1 contractual requirements are not met: 'slope_records' of wind_speed_comparison:5_to_10.
> status of the report: preliminary
> replaces R-0420, revision 1, sha256 D...: asked by C-031
>   outcome: pass, now fail
>   availability, outcome: pass, now for information
>   availability, requirements 'system_availability', limits: lower 95, now not there
> dossier: small/campaign.strict_2026.dossier
$ windassay audit small/campaign.strict_2026.dossier | grep -E "decision|from intervals|^identical" | cut -c1-30
>   decision        identical   
>   from intervals  identical   
> identical, from the intervals 
$ windassay audit small/campaign.strict_2026.dossier --data aside | grep -E "from raw" | cut -c1-30
>   from raw data   identical   
$ windassay decide small/campaign.dossier --criteria strict_2026.lua --reason "asked by C-031" | tail -1
> dossier: small/campaign.strict_2026.dossier (was there already, with the same evidence)
# What is replaced stays as it was, and is kept with what replaces it.
$ (cd small/campaign.dossier && sha256sum -c --strict --quiet manifest-sha256.txt) && cmp small/campaign.strict_2026.dossier/data/given/superseded.*.json small/campaign.dossier/data/result.json && echo kept
> kept
$ grep -o "<h3>What this report replaces.*SHA-256" small/campaign.strict_2026.dossier/data/report.html; grep -o "<th scope=row>the campaign.*</tr>" small/campaign.strict_2026.dossier/data/report.html
> <th scope=row>the campaign</th><td>outcome</td><td>pass</td><td>fail</td></tr>
# Decided once more: the next revision. A set of that name that is another one is refused.
$ sed 's/1.001/1.02/' strict_2026.lua >mild.lua; windassay decide small/campaign.strict_2026.dossier --criteria mild.lua --into again >text; echo $?; sed -n "s/sha256 [0-9a-f]*/sha256 D/; 4,5p" text; windassay audit again | tail -1
> 0
> replaces R-0420, revision 2, sha256 D...: decided by other criteria: mild
>   outcome: fail, now pass
> identical, from the intervals on; the raw data were not read
$ cp mild.lua roadmap_minimum.lua; windassay decide small/campaign.dossier --criteria roadmap_minimum.lua
! windassay: the dossier has criteria 'roadmap_minimum' already
!   give the file of the other criteria another name
[65]
# What cannot be done.
$ windassay decide small/campaign.dossier
! windassay: --criteria FILE is needed
[64]
$ windassay decide small/campaign.dossier --criteria nowhere.lua
! windassay: nowhere.lua: there is no such file
[66]
$ cp mild.lua 1st.lua; windassay decide small/campaign.dossier --criteria 1st.lua
! windassay: 1st.lua: its name cannot be the name of a set of criteria
!   letters, digits and underscores: strict_2026.lua
[64]
$ sed 's/wind_speed_comparison/turbulence/' mild.lua >other.lua; windassay decide small/campaign.dossier --criteria other.lua --into none >text; echo $?; head -2 text
> 65
! windassay: the criteria 'other' limit nothing that the campaign checks
$ echo 'return {' >broken.lua; windassay decide small/campaign.dossier --criteria broken.lua
! windassay: campaign/criteria/broken.lua:2: unexpected symbol near <eof>
!      2 | 
[69]
# A campaign that says itself what it replaces, here after an input was corrected.
$ mv aside/*.csv small; digest=$(sha256sum <small/campaign.dossier/data/result.json | cut -d" " -f1)
. sed "s/revision = 1,/revision = 2, reason = \"a wrong row of the mast\", supersedes = { sha256 = \"$digest\", dossier = \"campaign.dossier\" },/" small/campaign.lua >small/second.lua
. sed -i '500s/,\([0-9]\)/,1\1/' small/mast.csv; windassay run small/second.lua --with-data >text; echo $?; sed -n "s/sha256 [0-9a-f]*/sha256 D/; 3,7p" text
> 0
> status of the report: preliminary
> replaces R-0420, revision 1, sha256 D...: a wrong row of the mast
>   clock, values 'correlation at the best lag', value: 0.9998134076102977, now 0.9998132943645535
>   clock, values 'clock offset', value: 1.6707134205140433, now 1.7924505742132788
>   clock, values 'clock offset', u: 5.4606265741576285, now 5.4625324065302765
$ windassay audit small/second.dossier | grep -E "from raw|^identical" | cut -c1-30; ls small/second.dossier/data/given | sed "s/[0-9a-f]*.json/D.json/"
>   from raw data   identical   
> identical, from the raw data o
> superseded.D.json
# Its digest alone is enough; old values are not shown then.
$ sed "s/, dossier = \"campaign.dossier\"//" small/second.lua >small/third.lua; windassay run small/third.lua --into third | sed -n 's/sha256 [0-9a-f]*/sha256 D/; 4p'; windassay audit third | tail -1; grep -o "The earlier record is not at hand" third/data/report.html
> replaces sha256 D...: a wrong row of the mast
> identical, from the intervals on; the raw data were not read
> The earlier record is not at hand
$ sed 's/sha256 = "0/sha256 = "1/; t; s/sha256 = "./sha256 = "0/' small/second.lua >small/fourth.lua; windassay run small/fourth.lua --into fourth 2>&1 | cut -c1-53
> windassay: the record that is replaced has the digest
$ sed "s/revision = 2/revision = 1/" small/second.lua >small/fifth.lua; windassay run small/fifth.lua --into fifth
! windassay: report.revision is 1, and what it replaces is revision 1
[65]
$ sed "s/reason = \"a wrong row of the mast\", //" small/second.lua >small/sixth.lua; windassay run small/sixth.lua --into sixth
! windassay: small/sixth.lua:10: report: 'reason' is not stated
!   why the earlier report is replaced
[65]
