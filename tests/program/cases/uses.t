# Earlier dossiers: what a campaign reads of them, and the check that asks whether the unit changed.
# The later unit.csv is the earlier one with a gain of 1.004 planted; nothing else differs.
$ mkdir small/later small/checks; windassay run small/campaign.lua --into small/before.dossier | tail -1
. awk -F, -v OFS=, 'NR > 1 { $2 = sprintf("%.4f", $2 * 1.004) } 1' small/unit.csv >small/later/unit.csv
. digest=$(sha256sum <small/before.dossier/data/result.json | cut -d" " -f1)
. uses="uses = { { dossier = \"before.dossier\", sha256 = \"$digest\", as = \"before\" } },"
. sed -n "/ checks = /q; p" small/campaign.lua | sed "s/4\.2\.0/4.3.0/; s/\"unit.csv\"/\"later\/unit.csv\"/; \$a $uses" >head
. { cat head; cat <<'END'
.   checks = { { "wind_speed_comparison", criteria = { contract = "roadmap_minimum" } },
.              { "drift", check = "wind_speed_comparison:from_2", correlation = 1, criteria = { contract = "no_drift" } } } }
. END
. } >small/later.lua
. windassay run small/later.lua --into later >text; echo $?; sed -n "/^drift/,\$p" text
> dossier: small/before.dossier
> 1
> drift: Change of the unit between two campaigns: fail
>   requirement    value  u (k = 1)  limits     outcome          limits of
>   en           6.35997          0  at most 1  fail             no_drift
>   difference   0.00403    0.00032             for information
>   rule: simple acceptance, without a guard band
>   some limits are recalled, check your copy of the standard:
>     ISO/IEC 17043, E_n
>   stability: Fail; unchanged in 25 of 25 variants, 9 of which move no requirement.
>
>   name                  value  u (k = 1)  unit  remark
>   before              1.00640    0.00022        2026-03-02T00:00:00Z to 2026-03-10T00:00:00Z; u: statistical
>   after               1.01043    0.00022        2026-03-02T00:00:00Z to 2026-03-10T00:00:00Z; u: statistical
>   difference          0.00403    0.00032        after minus before
>   E_n                 6.35997
>   component by drift  0.00232                   rectangular, to be added to the uncertainty of the campaign between
>
>   by bin
>   centre [m/s]   before    after  difference  standard uncertainty      E_n
>            2.5  1.00978  1.01382     0.00404               0.00600  0.33634
>            3.5  1.00689  1.01092     0.00403               0.00434  0.46430
>            4.5  1.00875  1.01278     0.00403               0.00337  0.59932
>            5.5  1.00751  1.01154     0.00403               0.00287  0.70267
>            6.5  1.00647  1.01049     0.00403               0.00264  0.76191
>            7.5  1.00698  1.01101     0.00403               0.00191  1.05180
>            8.5  1.00768  1.01171     0.00403               0.00195  1.03568
>            9.5  1.00706  1.01109     0.00403               0.00154  1.30569
>           10.5  1.00615  1.01017     0.00403               0.00127  1.58847
>           11.5  1.00802  1.01205     0.00403               0.00133  1.51664
>           12.5  1.00519  1.00922     0.00402               0.00109  1.83692
>           13.5  1.00571  1.00974     0.00402               0.00147  1.36702
>           14.5  1.00589  1.00991     0.00402               0.00117  1.71473
>           15.5  1.00546  1.00948     0.00402               0.00112  1.78908
>           16.5  1.00654  1.01057     0.00403               0.00100  2.02220
>           17.5  1.00573  1.00976     0.00402               0.00215  0.93475
>           18.5  1.00740  1.01143     0.00403               0.00740  0.27225
>   note: the firmware differs: 4.2.0 before, 4.3.0 after
>   note: the reference is the same and its part cancels: its uncertainty is not needed
>   note: by bin: measured mean over reference mean; the reference's part is that of the whole
>
> dossier: later
# Its stability is that of the result it judges: each row recomputed from the row of the comparison.
$ /usr/bin/python3 - <<'PY'
. import json
. checks = {c["id"]: c for c in json.load(open("later/data/result.json"))["checks"]}
. key = lambda r: (r["variant"], r["name"], r.get("account"), r.get("value"))
. value = lambda r, name: next(q["value"] for q in r["requirements"] if q["name"] == name)
. of, drift = checks["wind_speed_comparison:from_2"], checks["drift"]
. slope = value(of, "slope_bin_means")
. rows = {key(r): r for r in of["stability"]["rows"]}
. n = 0
. for r in drift["stability"]["rows"]:
.     assert r.get("check", "wind_speed_comparison:from_2") == "wind_speed_comparison:from_2", r
.     there = rows[key(r)]
.     shift = value(there, "slope_bin_means") - slope
.     assert abs(value(r, "difference") - value(drift, "difference") - shift) < 1e-12, r
.     n += 1
. carried = sum(r.get("reason") != "no interval is excluded by it alone" for r in rows.values())
. print(n == carried, sorted({r["variant"] for r in drift["stability"]["rows"]}), sum("check" in r for r in drift["stability"]["rows"]) > 0)
. PY
> True ['day', 'exclusion', 'parameter'] True
# What the record and the report say of it; it is in the dossier with --with-data.
$ python3 -c 'import json; print(*(dict(u, sha256=len(u["sha256"]), bytes=u["bytes"] > 0) for u in json.load(open("later/data/result.json"))["uses"]))'
. grep -o "Earlier dossiers[^<]*" later/data/report.html
. windassay run small/later.lua --into with --with-data | tail -1; cmp with/data/inputs/campaign/before.dossier/data/result.json small/before.dossier/data/result.json
> {'as': 'before', 'path': 'before.dossier', 'bytes': True, 'sha256': 64, 'title': 'Unit NL-0420 beside the Ravnmoor mast, eight days', 'serial': 'NL-0420', 'from': '2026-03-02T00:00:00Z', 'to': '2026-03-10T00:00:00Z', 'number': 'R-0420', 'revision': 1, 'outcome': 'pass'}
> Earlier dossiers, found whole: 1
> dossier: with
# The same planted gain with another reference, of which 0.5 % is not known: it cannot be told.
$ sed "s/correlation = 1/correlation = 0, reference_u = 0.005/" small/later.lua >small/other.lua
. windassay run small/other.lua --into other >text; echo $?; sed -n "/^drift/,/^  rule/p" text
> 0
> drift: Change of the unit between two campaigns: pass
>   requirement    value  u (k = 1)  limits     outcome          limits of
>   en           0.28436          0  at most 1  pass             no_drift
>   difference   0.00403     0.0071             for information
>   rule: simple acceptance, without a guard band
# Without a stated correlation, without an uncertainty of the reference, and with a result that was inconclusive.
$ sed "s/, correlation = 1//" small/later.lua >small/a.lua; sed "s/correlation = 1/correlation = 0/" small/later.lua >small/b.lua
. sed "s/comparison:from_2/comparison/" small/later.lua >small/c.lua
. for x in a b c; do windassay run small/$x.lua --into $x >text; echo $?; sed -n "/^drift/,/^  used/p" text | grep -v "^  *[0-9]*\.5 "; done
> 69
> drift: Change of the unit between two campaigns: error
>   scripts/checks/drift.lua:185: state the correlation of the two references, 0 to 1: same instrument and certificate 1, recalibrated 0.5, another one 0
>   requirement      value  U  limits     outcome  limits of
>   en           undefined     at most 1  error    no_drift
>   rule: simple acceptance, without a guard band
>   en: the check broke
>   some limits are recalled, check your copy of the standard:
>     ISO/IEC 17043, E_n
>
> dossier: a
> 2
> drift: Change of the unit between two campaigns: inconclusive
>   a result states only its scatter, and reference_u is not set: the difference has no whole uncertainty
>   requirement      value  U  limits     outcome       limits of
>   en           undefined     at most 1  inconclusive  no_drift
>   rule: simple acceptance, without a guard band
>   some limits are recalled, check your copy of the standard:
>     ISO/IEC 17043, E_n
>
>   name      value  u (k = 1)  unit  remark
>   before  1.00640    0.00022        2026-03-02T00:00:00Z to 2026-03-10T00:00:00Z; u: statistical
>   after   1.01043    0.00022        2026-03-02T00:00:00Z to 2026-03-10T00:00:00Z; u: statistical
>   note: the firmware differs: 4.2.0 before, 4.3.0 after
>
> dossier: b
> 2
> drift: Change of the unit between two campaigns: inconclusive
>   wind_speed_comparison of 'before': inconclusive; wind_speed_comparison of this campaign: inconclusive
>   requirement    value  u (k = 1)  limits     outcome          limits of
>   en           5.14536          0  at most 1  inconclusive     no_drift
>   difference   0.00402    0.00039             for information
>   rule: simple acceptance, without a guard band
>   some limits are recalled, check your copy of the standard:
>     ISO/IEC 17043, E_n
>
>   name                  value  u (k = 1)  unit  remark
>   before              1.00625    0.00028        2026-03-02T00:00:00Z to 2026-03-10T00:00:00Z; u: statistical
>   after               1.01027    0.00028        2026-03-02T00:00:00Z to 2026-03-10T00:00:00Z; u: statistical
>   difference          0.00402    0.00039        after minus before
>   E_n                 5.14536
>   component by drift  0.00232                   rectangular, to be added to the uncertainty of the campaign between
>
>   by bin
>   centre [m/s]   before    after  difference  standard uncertainty      E_n
>            4.0  1.01409  1.01814     0.00406               0.00526  0.38522
>            5.0  1.00739  1.01142     0.00403               0.00565  0.35641
>            6.0  1.00577  1.00979     0.00402               0.00348  0.57733
>            7.0  1.00807  1.01211     0.00403               0.00386  0.52174
>            8.0  1.00924  1.01328     0.00404               0.00256  0.78876
>            9.0  1.00742  1.01145     0.00403               0.00286  0.70377
>           10.0  1.00453  1.00855     0.00402               0.00185  1.08516
>           11.0  1.00695  1.01097     0.00403               0.00196  1.02591
>           12.0  1.00613  1.01016     0.00403               0.00152  1.32441
>           13.0  1.00472  1.00873     0.00402               0.00169  1.19134
>           14.0  1.00454  1.00856     0.00402               0.00193  1.04132
>           15.0  1.00475  1.00877     0.00402               0.00169  1.18844
>           16.0  1.00512  1.00914     0.00402               0.00157  1.28082
>   note: the firmware differs: 4.2.0 before, 4.3.0 after
>   note: the reference is the same and its part cancels: its uncertainty is not needed
>   note: by bin: measured mean over reference mean; the reference's part is that of the whole
>
> dossier: c
# Another unit.
$ sed "s/NL-0420/NL-0421/" small/later.lua >small/d.lua; windassay run small/d.lua --into d | grep -A2 "^drift"
> drift: Change of the unit between two campaigns: error
>   scripts/checks/drift.lua:91: not one unit: 'before' is of NL-0420, this campaign of NL-0421
>   requirement      value  U  limits     outcome  limits of
# A check of one's own reads what it likes; what is not there is an error that names the nearest.
$ cat >small/checks/own.lua <<'END'
. local check = { title = "Reads an earlier dossier", practice = "none", needs = {}, parameters = { use = { "before", "1", "which" } } }
. function check.run(campaign, p, report)
.   local c = campaign.uses[p.use].checks["wind_speed_comparison:from_2"]
.   local t = c.tables["by bin"]
.   print(campaign.uses[p.use].lidar.firmware, c.status, t.columns[1], t.units.centre, #t.rows, t.rows[1].centre, t.rows[1].complete)
.   print(c.requirements.slope_bin_means.unit, c.requirements.slope_bin_means.limits, c.values["records compared"].value, campaign.results)
. end
. return check
. END
. { cat head; echo '  checks = { { "own" }, { "own", id = "slip", use = "befor" } } }'; } >small/own.lua
. windassay run small/own.lua --into own; echo $?; python3 -c 'import json; print(json.load(open("own/data/result.json"))["checks"][0]["printed"], end="")'
> no decision asked: Unit NL-0420 beside the Ravnmoor mast, eight days
> No decision asked: no contract names limits for these checks. Broken, without a part in this: slip.
> status of the report: preliminary
>
> own: Reads an earlier dossier: no decision asked
>
> slip: Reads an earlier dossier: error
>   campaign/checks/own.lua:3: there is no 'befor' here
>     did you mean 'before'?
>
> dossier: own
> 69
> 4.2.0	ran	centre	m s-1	23	2.5	yes
> 1	nil	981	nil
# Not there; a link; another one; torn; nothing that a dossier is.
$ try() { sed "s/before.dossier/$1/" small/later.lua >small/e.lua; windassay run small/e.lua --into e; echo $?; }
. exec 2>&1; try none.dossier; ln -s before.dossier small/link; try link; try root:before.dossier; try ..\\/small
. sed "s/sha256 = \".*\", as/sha256 = \"$(printf "%064d" 7)\", as/" small/later.lua >small/e.lua; windassay run small/e.lua --into e 2>&1 | sed "s/is [0-9a-f]\{64\}/is DIGEST/"
. cp -r small/before.dossier small/torn; echo >>small/torn/data/ledger.csv; try torn 2>&1 | sed "s/[0-9a-f]\{12\}\.\.\./DIGEST/g"
. mkdir small/empty; try empty; ls e 2>&1
> windassay: none.dossier: there is no such folder
> 66
> windassay: small/link: it is a link, or lies behind one
>   put the folder itself there
> 65
> windassay: small/e.lua:47: uses[1].dossier: 'root:before.dossier': there is no root
>   a file fleet.lua in a folder above marks the root
> 65
> windassay: small/e.lua:47: uses[1].dossier: the path '../small' has a component '.' or '..'
>   paths are relative to the campaign's folder, or begin with root:
> 65
> windassay: small/before.dossier: this is not the dossier that is used as 'before': the digest of its data/result.json is DIGEST, the campaign states 0000000000000000000000000000000000000000000000000000000000000007
>   the digest stands in its manifest-sha256.txt
> windassay: small/torn/data/ledger.csv: its bytes are not those of the manifest (sha256 DIGEST, not DIGEST)
> 65
> windassay: empty/manifest-sha256.txt: there is no such file
>   this is no dossier, or not a whole one
> 65
> ls: cannot access 'e': No such file or directory
[2]
