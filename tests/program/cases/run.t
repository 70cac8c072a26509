# One campaign from file to dossier: outcome, exit code, manifest, the same bytes again.
$ windassay run small/campaign.lua --into out >text; echo $?; head -2 text; tail -1 text
> 0
> pass: Unit NL-0420 beside the Ravnmoor mast, eight days
> Pass: all 9 contractual requirements are met.
> dossier: out
$ cd out && sha256sum -c --strict --quiet manifest-sha256.txt && sha256sum -c --strict --quiet tagmanifest-sha256.txt && find . -type f | LC_ALL=C sort
> ./bag-info.txt
> ./bagit.txt
> ./data/compared.csv
> ./data/figures/clock.correlation_by_lag.svg
> ./data/figures/wind_direction_comparison.difference_by_direction.svg
> ./data/figures/wind_speed_comparison.4_to_16.deviation_by_bin.svg
> ./data/figures/wind_speed_comparison.4_to_16.scatter.svg
> ./data/figures/wind_speed_comparison.deviation_by_bin.svg
> ./data/figures/wind_speed_comparison.from_2.deviation_by_bin.svg
> ./data/figures/wind_speed_comparison.from_2.scatter.svg
> ./data/figures/wind_speed_comparison.norsewind.4_to_16.deviation_by_bin.svg
> ./data/figures/wind_speed_comparison.norsewind.4_to_16.scatter.svg
> ./data/figures/wind_speed_comparison.scatter.svg
> ./data/inputs.csv
> ./data/intervals.csv
> ./data/judged.csv
> ./data/ledger.csv
> ./data/reasons.csv
> ./data/report.html
> ./data/result.json
> ./data/ro-crate-metadata.json
> ./data/run.json
> ./data/samples.csv
> ./data/scripts/campaign/campaign.lua
> ./data/scripts/checks/availability.lua
> ./data/scripts/checks/clock.lua
> ./data/scripts/checks/wind_direction_comparison.lua
> ./data/scripts/checks/wind_speed_comparison.lua
> ./data/scripts/criteria/norsewind.lua
> ./data/scripts/criteria/roadmap_minimum.lua
> ./data/scripts/practice/both_axes.lua
> ./data/scripts/practice/calibration.lua
> ./data/scripts/practice/channels.lua
> ./data/scripts/practice/completeness.lua
> ./data/scripts/practice/drift.lua
> ./data/scripts/practice/exclusions.lua
> ./data/scripts/practice/filters.lua
> ./data/scripts/practice/instruments.lua
> ./data/scripts/practice/reference.lua
> ./data/scripts/practice/roadmap.lua
> ./data/scripts/practice/sectors.lua
> ./data/tables.xlsx
> ./data/tables/availability.by_day.csv
> ./data/tables/availability.values.csv
> ./data/tables/clock.by_stretch.csv
> ./data/tables/clock.values.csv
> ./data/tables/wind_direction_comparison.by_sector.csv
> ./data/tables/wind_direction_comparison.values.csv
> ./data/tables/wind_speed_comparison.4_to_16.by_bin.csv
> ./data/tables/wind_speed_comparison.4_to_16.values.csv
> ./data/tables/wind_speed_comparison.by_bin.csv
> ./data/tables/wind_speed_comparison.from_2.by_bin.csv
> ./data/tables/wind_speed_comparison.from_2.values.csv
> ./data/tables/wind_speed_comparison.norsewind.4_to_16.by_bin.csv
> ./data/tables/wind_speed_comparison.norsewind.4_to_16.values.csv
> ./data/tables/wind_speed_comparison.values.csv
> ./manifest-sha256.txt
> ./tagmanifest-sha256.txt
$ cat out/bagit.txt; sed 's/Oxum: [0-9]*/Oxum: BYTES/' out/bag-info.txt
> BagIt-Version: 1.0
> Tag-File-Character-Encoding: UTF-8
> Bagging-Date: 2026-03-10
> External-Description: Unit NL-0420 beside the Ravnmoor mast, eight days
> Payload-Oxum: BYTES.54
$ head -n 3 out/data/ledger.csv out/data/intervals.csv out/data/samples.csv; cut -d, -f1-5 out/data/inputs.csv; cat out/data/reasons.csv
> ==> out/data/ledger.csv <==
> time,clock,availability,wind_speed_comparison,wind_speed_comparison:from_2,wind_speed_comparison:4_to_16,wind_speed_comparison:norsewind.4_to_16,wind_direction_comparison
> 2026-03-02T00:00:00Z,x5,used,outside,outside,outside,outside,x3
> 2026-03-02T00:10:00Z,x5,used,outside,outside,outside,outside,x3
>
> ==> out/data/intervals.csv <==
> time,lidar.wind_from_direction.mean [degree],lidar.wind_speed.count,lidar.wind_speed.mean [m s-1],lidar.wind_speed.sd [m s-1],lidar.wind_speed.availability,mast.cup.mean [m s-1],mast.cup.sd [m s-1],mast.humidity.mean [%],mast.temperature.mean [degC],mast.vane.mean [degree]
> 2026-03-02T00:00:00Z,143.4,600,1.17,0.1,1,0.99,0.11,76,6.5,140.8
> 2026-03-02T00:10:00Z,156.2,600,1.82,0.25,1,1.71,0.26,75,5.8,153.9
>
> ==> out/data/samples.csv <==
> time,lidar.expected,lidar.read,mast.expected,mast.read
> 2026-03-02T00:00:00Z,1,1,1,1
> 2026-03-02T00:10:00Z,1,1,1,1
> path,source,bytes,sha256,rows
> unit.csv,lidar,50680,dff4d86a8bf9ddae31d159810bfc414802d76b3b7eb81ccab47560b488087123,1140
> mast.csv,mast,46669,7ca713490ac655efb42d9f4124a936bd33d80ee22fd6d763ef3b22ec9ba1c169,1152
> account,code,reason,intervals,only,unknown,left
> clock,x1,reference missing,0,0,0,1152
> clock,x2,unit missing,12,0,0,1140
> clock,x3,icing possible,42,42,0,1098
> clock,x4,disturbed sector,48,48,0,1050
> clock,x5,a neighbouring interval is missing,16,4,0,1046
> availability,x1,unit off,0,0,12,1140
> availability,x2,unit below the valid share,34,34,12,1106
> wind_speed_comparison,x1,reference missing,0,0,0,1152
> wind_speed_comparison,x2,unit missing,12,0,0,1140
> wind_speed_comparison,x3,unit availability below 80 %,34,31,12,1106
> wind_speed_comparison,x4,icing possible,42,40,0,1066
> wind_speed_comparison,x5,vane stuck,0,0,0,1066
> wind_speed_comparison,x6,disturbed sector,48,47,0,1019
> wind_speed_comparison:from_2,x1,reference missing,0,0,0,1152
> wind_speed_comparison:from_2,x2,unit missing,12,0,0,1140
> wind_speed_comparison:from_2,x3,unit availability below 80 %,34,31,12,1106
> wind_speed_comparison:from_2,x4,icing possible,42,40,0,1066
> wind_speed_comparison:from_2,x5,vane stuck,0,0,0,1066
> wind_speed_comparison:from_2,x6,disturbed sector,48,47,0,1019
> wind_speed_comparison:4_to_16,x1,reference missing,0,0,0,1152
> wind_speed_comparison:4_to_16,x2,unit missing,12,0,0,1140
> wind_speed_comparison:4_to_16,x3,unit availability below 80 %,34,31,12,1106
> wind_speed_comparison:4_to_16,x4,icing possible,42,40,0,1066
> wind_speed_comparison:4_to_16,x5,vane stuck,0,0,0,1066
> wind_speed_comparison:4_to_16,x6,disturbed sector,48,47,0,1019
> wind_speed_comparison:norsewind.4_to_16,x1,reference missing,0,0,0,1152
> wind_speed_comparison:norsewind.4_to_16,x2,unit missing,12,0,0,1140
> wind_speed_comparison:norsewind.4_to_16,x3,unit availability below 80 %,34,31,12,1106
> wind_speed_comparison:norsewind.4_to_16,x4,icing possible,42,40,0,1066
> wind_speed_comparison:norsewind.4_to_16,x5,vane stuck,0,0,0,1066
> wind_speed_comparison:norsewind.4_to_16,x6,disturbed sector,48,47,0,1019
> wind_direction_comparison,x1,reference missing,0,0,0,1152
> wind_direction_comparison,x2,unit missing,12,12,0,1140
> wind_direction_comparison,x3,reference below 2 m/s,38,38,0,1102
> wind_direction_comparison,x4,icing possible,42,42,0,1060
> wind_direction_comparison,x5,vane stuck,0,0,0,1060
> wind_direction_comparison,x6,disturbed sector,48,48,0,1012
# The unit's two hours without rows, as the ledger tells them.
$ sed -n '1p;/^2026-03-04T09:50/,/^2026-03-04T10:10/p' out/data/ledger.csv
> time,clock,availability,wind_speed_comparison,wind_speed_comparison:from_2,wind_speed_comparison:4_to_16,wind_speed_comparison:norsewind.4_to_16,wind_direction_comparison
> 2026-03-04T09:50:00Z,used,used,outside,used,outside,outside,used
> 2026-03-04T10:00:00Z,x2+x5,x1?+x2?,x2+x3?,x2+x3?,x2+x3?,x2+x3?,x2
> 2026-03-04T10:10:00Z,x2+x5,x1?+x2?,x2+x3?,x2+x3?,x2+x3?,x2+x3?,x2
# What was planted: gain 1.004, offset 0.02 m/s, direction 1.5 degrees. (value, u; 2 u is allowed.)
$ grep -E '^(free slope, records|free intercept, records)' out/data/tables/wind_speed_comparison.values.csv; grep -E '^offset' out/data/tables/wind_direction_comparison.values.csv
> offset,1.503857902451215,degree,0.03617048442092685
$ /usr/bin/python3 - <<'PY'
. import csv
. def value(check, name):
.     for row in csv.DictReader(open(f"out/data/tables/{check}.values.csv")):
.         if row["name"] == name:
.             return float(row["value"]), float(row["u"])
. for check, name, planted in (("wind_speed_comparison", "free slope, records", 1.004),
.                              ("wind_speed_comparison", "free intercept, records", 0.02),
.                              ("wind_direction_comparison", "offset", 1.5)):
.     x, u = value(check, name)
.     print(name, "found" if abs(x - planted) <= 2 * u else f"not found: {x} +- {u}")
. PY
> free slope, records found
> free intercept, records found
> offset found
# Every account sums to the grid.
$ /usr/bin/python3 - <<'PY'
. import json
. for c in json.load(open("out/data/result.json"))["checks"]:
.     for a in c["accounts"]:
.         print(c["id"], a["used"] + a["records_only"] + a["outside"] + a["excluded"] == a["grid"] == 1152)
. PY
> clock True
> availability True
> wind_speed_comparison True
> wind_speed_comparison:from_2 True
> wind_speed_comparison:4_to_16 True
> wind_speed_comparison:norsewind.4_to_16 True
> wind_direction_comparison True
# Again: success, and the folder is left as it is.
$ stat -c %Y.%i out/data/result.json >before; windassay run small/campaign.lua --into out >text; echo $?; tail -1 text
. stat -c %Y.%i out/data/result.json | cmp - before
> 0
> dossier: out (was there already, with the same evidence)
# The evidence and the report are the same by any way: threads, zone, --json, another folder.
$ windassay run small/campaign.lua --into jobs1 --jobs 1 >/dev/null; windassay run small/campaign.lua --into jobs2 --jobs 2 >/dev/null
. TZ=Asia/Tokyo windassay run small/campaign.lua --into zone >/dev/null
. windassay run small/campaign.lua --into json --json >json.json
. mkdir -p other/place; cp small/*.csv small/*.lua other/place; cd other/place; windassay run campaign.lua --into ../../place >/dev/null; cd ../..
. for f in jobs1 jobs2 zone json place; do diff -r out/data $f/data --exclude run.json && echo $f: the same; done
. cmp json.json out/data/result.json && echo json.json: the same
> jobs1: the same
> jobs2: the same
> zone: the same
> json: the same
> place: the same
> json.json: the same
# In another locale, where one can be made (glibc itself leaks what it reads of LOCPATH).
$ if localedef -i de_DE -f UTF-8 ./de_DE.UTF-8 2>/dev/null; then ASAN_OPTIONS=detect_leaks=0 LOCPATH=$PWD LC_ALL=de_DE.UTF-8 windassay run small/campaign.lua --into locale >/dev/null; diff -r out/data locale/data --exclude run.json; fi; echo done
> done
# A different dossier is left alone; --replace replaces it.
$ sed 's/R-0420/R-0421/' small/campaign.lua >small/other.lua; windassay run small/other.lua --into out >/dev/null
! windassay: out: another dossier is there, and stays
!   --replace puts the new one in its place
[64]
$ grep -c R-0420 out/data/result.json
> 1
$ windassay run small/other.lua --into out --replace >text; echo $?; grep -c R-0421 out/data/result.json; cd out && sha256sum -c --strict --quiet manifest-sha256.txt
> 0
> 1
# What is no dossier is never replaced.
$ mkdir mine; echo precious >mine/file; windassay run small/campaign.lua --into mine --replace >/dev/null
! windassay: mine: what is there is no whole dossier, and stays: there is no such file
[64]
$ cat mine/file; ls -A mine
> precious
> file
# The parent of the folder must be there.
$ windassay run small/campaign.lua --into no/where >/dev/null
! windassay: no/: cannot open the folder for the dossier: No such file or directory
[66]
# Without --into the dossier lies beside the campaign file. --with-data keeps the inputs.
$ windassay run small/campaign.lua --with-data >/dev/null; cd small/campaign.dossier/data; find . -name '*.csv' | LC_ALL=C sort; for f in unit mast; do cmp ../../$f.csv "$(find . -name $f.csv)" && echo $f.csv: as it was; done
> ./compared.csv
> ./inputs.csv
> ./inputs/campaign/mast.csv
> ./inputs/campaign/unit.csv
> ./intervals.csv
> ./judged.csv
> ./ledger.csv
> ./reasons.csv
> ./samples.csv
> ./tables/availability.by_day.csv
> ./tables/availability.values.csv
> ./tables/clock.by_stretch.csv
> ./tables/clock.values.csv
> ./tables/wind_direction_comparison.by_sector.csv
> ./tables/wind_direction_comparison.values.csv
> ./tables/wind_speed_comparison.4_to_16.by_bin.csv
> ./tables/wind_speed_comparison.4_to_16.values.csv
> ./tables/wind_speed_comparison.by_bin.csv
> ./tables/wind_speed_comparison.from_2.by_bin.csv
> ./tables/wind_speed_comparison.from_2.values.csv
> ./tables/wind_speed_comparison.norsewind.4_to_16.by_bin.csv
> ./tables/wind_speed_comparison.norsewind.4_to_16.values.csv
> ./tables/wind_speed_comparison.values.csv
> unit.csv: as it was
> mast.csv: as it was
# Nothing else was left behind.
$ ls -A
> before
> broken
> de_DE.UTF-8
> jobs1
> jobs2
> json
> json.json
> locale
> mine
> other
> out
> place
> small
> text
> zone
