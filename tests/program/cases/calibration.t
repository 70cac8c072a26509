# From acceptance to use: the calibration that a dossier holds, and a later campaign that takes it. The later unit.csv is the
# earlier one times 1.05; divided by the gain that was found its slope is 1.05.
$ mkdir small/later; { sed -n '/^  checks = /q; s/cup         = {/cup = { instrument = "cup",/; p' small/campaign.lua; cat <<'END'
.   instruments = { cup = { class = "1.2A", mounting = { 0.5, "%" }, fitted = { { serial = "A-1", from = "2026-01-01T00:00:00Z",
.     calibration = { standard_uncertainty = 0.05, certificate = "K-1" } } } } },
.   checks = { { "wind_speed_comparison", highest = 12, hours = 10, criteria = { contract = "roadmap_minimum" } } },
. }
. END
. } >small/first.lua; windassay run small/first.lua --into small/first.dossier >text; head -1 text; cat >show <<'END'
. import hashlib, json, sys, jsonschema
. f = json.load(open("small/first.dossier/data/calibration.json"))
. jsonschema.validate(f, json.load(open(sys.argv[1] + "/docs/reference/calibration.schema.json")))
. r = open("small/first.dossier/data/result.json", "rb").read()
. print(f["record"]["sha256"] == hashlib.sha256(r).hexdigest(), f["lidar"], f["not_calibrated"])
. for c in f["calibrations"]:
.     print(c["check"], c["outcome"], c["name"], round(c["gain"], 5), round(c["gain_u"], 5), len(c["bins"]))
.     print(c["valid"], [k["name"] for k in c["components"]])
. END
. /usr/bin/python3 show "$ROOT"
. digest=$(sha256sum <small/first.dossier/data/calibration.json | cut -d" " -f1)
. awk -F, -v OFS=, 'NR > 1 { $2 = sprintf("%.9f", $2 * 1.05) } 1' small/unit.csv >small/later/unit.csv
. echo "  calibrations = { { source = \"lidar\", file = \"first.dossier/data/calibration.json\", sha256 = \"$digest\" } }," >takes
. sed "s/\"unit.csv\"/\"later\/unit.csv\"/; /^  period/r takes" small/first.lua >small/later.lua
. windassay run small/later.lua --into later >text; sed -n "/calibration applied/,/^\$/p; /validity of/,/^\$/p; /^  note: rec/p" text
. cat >show <<'END'
. import json
. a, b = (json.load(open(d + "/data/result.json")) for d in ("small/first.dossier", "later"))
. of = lambda r: next(q for c in r["checks"] if c["id"] == "wind_speed_comparison:from_2" for q in c["requirements"] if q["name"] == "slope_bin_means")
. print("%.5f %.5f" % (of(a)["value"], of(b)["value"]), 1.3 < of(b)["u"] / of(a)["u"] < 1.6)
. print([{k: v for k, v in c.items() if len(str(v)) < 64} for c in b["calibrations"]], "calibrations" in b["checks"][0])
. print([i["source"] for i in b["inputs"]])
. END
. /usr/bin/python3 show; ls later/data/calibration.json 2>&1; cmp later/data/given/calibration.*.json small/first.dossier/data/calibration.json
. windassay run small/later.lua --into with --with-data | tail -1; cmp with/data/inputs/campaign/first.dossier/data/calibration.json small/first.dossier/data/calibration.json
> pass: Unit NL-0420 beside the Ravnmoor mast, eight days
> True {'serial': 'NL-0420', 'kind': 'ground lidar', 'firmware': '4.2.0'} [{'quantity': 'wind_from_direction'}]
> wind_speed_comparison:from_2 pass wind_speed at height 8.9 m 1.0064 0.01027 17
> [{'highest': 19, 'lowest': 2, 'quantity': 'wind_speed', 'unit': 'm s-1'}, {'highest': 10.4, 'lowest': 5.6, 'quantity': 'air_temperature', 'unit': 'degC'}] ['cup calibration', 'cup class', 'cup mounting', 'statistical', 'mounting of the unit', 'flow']
>   calibration applied
>                                           u of
>                                            the
>                                        gain (k
>   calibration of                 gain     = 1)  from                  to
>   wind_speed at height 8.9 m  1.00640  0.01027  2026-03-02T00:00:00Z  2026-03-10T00:00:00Z
>
>   validity of the calibration
>   calibration of              condition        lowest  highest  unit  records beyond  of records
>   wind_speed at height 8.9 m  wind_speed          2.0     19.0  m/s               31        1019
>   wind_speed at height 8.9 m  air_temperature     5.6     10.4  degC               0        1019
>
>   note: records lie beyond what the calibration is valid for: see the table; they are used with its gain, their uncertainty is carried on from the nearest bin
> 1.00640 1.05000 True
> [{'source': 'lidar', 'file': 'first.dossier/data/calibration.json', 'serial': 'NL-0420', 'title': 'Unit NL-0420 beside the Ravnmoor mast, eight days', 'number': 'R-0420', 'revision': 1, 'status': 'preliminary', 'from': '2026-03-02T00:00:00Z', 'to': '2026-03-10T00:00:00Z', 'outcome': 'pass', 'calibrations': 1}] False
> ['lidar', 'mast', 'calibration']
> ls: cannot access 'later/data/calibration.json': No such file or directory
> dossier: with
# Checks that do not correct by it say so, and only where there is one.
$ for name in later first; do sed 's/^  checks = .*/  checks = { { "turbulence" }, { "sensitivity" } },/' small/$name.lua >small/raw.lua
. windassay run small/raw.lua --into raw.$name >text; echo $?; grep -c "this check applies no calibration" text; done
> 0
> 2
> 0
> 0
[1]
# Not the one that is meant; of another unit; another firmware, and why it holds; no source; another form; two of one thing.
$ try() { sed "$1" small/later.lua >small/e.lua; windassay run small/e.lua --into e >text; head -1 text; }
. exec 2>&1; cp -r small/first.dossier small/torn; sed -i "0,/\"gain\": 1/s//\"gain\": 2/" small/torn/data/calibration.json
. try "s/first.dossier/torn/" 2>&1 | sed "s/[0-9a-f]\{64\}/DIGEST/g"
. try "s/NL-0420/NL-0421/"; try "s/4\.2\.0/4.3.0/"; try "s/4\.2\.0/4.3.0/; s/file = /despite = \"only the display changed\", file = /"
. grep -o "only the display changed" e/data/report.html | head -1; try "s/source = \"lidar\", file/source = \"lydar\", file/"; try "s/sha256 = \"/sha256 = \"x/"
. try "s/source = \"lidar\", file/source = \"mast\", file/"; try "s/source = \"lidar\", file/source = \"mast\", serial = \"RL-7\", file/"
. try "s/^  calibrations = { \(.*\) },\$/  calibrations = { \1, \1 },/"
> windassay: small/torn/data/calibration.json: this is not the calibration that the campaign states: its digest is DIGEST, stated is DIGEST
>   the digest stands in the manifest-sha256.txt of its dossier
> windassay: small/first.dossier/data/calibration.json: it is the calibration of 'NL-0420', source 'lidar' is 'NL-0421'
> windassay: small/first.dossier/data/calibration.json: the unit's firmware differs: '4.2.0' when it was calibrated, '4.3.0' now
>   calibrate it again, or say why it holds: despite = "..."
> fail: Unit NL-0420 beside the Ravnmoor mast, eight days
> only the display changed
> windassay: small/e.lua:15: calibrations[1].source: there is no source 'lydar'
> windassay: small/e.lua:15: calibrations[1].sha256: a SHA-256 is written in 64 digits, 0 to 9 and a to f
>   that of the file, as in its dossier's manifest
> windassay: small/e.lua:15: calibrations[1]: 'serial' is not stated
>   of the instrument whose calibration this is
> windassay: small/first.dossier/data/calibration.json: it is the calibration of 'NL-0420', source 'mast' is 'RL-7'
> windassay: small/first.dossier/data/calibration.json: its calibration 'wind_speed at height 8.9 m' is in 'first.dossier/data/calibration.json' as well
# A file that a stranger wrote: its digest is right, its form is not.
$ spoil() { python3 -c "import json, sys; f = json.load(open('small/first.dossier/data/calibration.json')); c = f['calibrations'][0]; $1; json.dump(f, open('small/own.json', 'w'))"
. sed "s/first.dossier.data.calibration.json\", sha256 = \"[0-9a-f]*/own.json\", sha256 = \"$(sha256sum <small/own.json | cut -d' ' -f1)/" small/later.lua >small/f.lua; windassay run small/f.lua --into f >text 2>&1; head -1 text; }
. spoil "f['schema'] = 'x'"; spoil "c['gain'] = -1"; spoil "c['host'] = 'x'"; spoil "c['bins'].reverse()"; spoil "c['bins'] = []"
. spoil "c['components'][0]['u'].pop()"; spoil "c['components'][0]['u'][0] = -1"; spoil "c['valid'][0]['lowest'] = 99"; spoil "f['calibrations'].append(c)"
. spoil "f['lidar'] = {}"; spoil "c['components'][0]['kind'] = 'C'"; spoil "c['quantity'] = 'wind\nspeed'"; spoil "c['height'] = 80"; grep "not calibrated in" text | head -1
> windassay: small/own.json: schema: this is no file of the form windassay-calibration-1
> windassay: small/own.json: calibration 1: a gain is above zero, its uncertainty not below
> windassay: small/own.json: calibration 1: unknown key 'host'
> windassay: small/own.json: calibration 1: the bins are not in rising order of the reference
> windassay: small/own.json: calibration 1: a calibration has bins
> windassay: small/own.json: calibration 1: component 'cup calibration' has 16 values for 17 bins
> windassay: small/own.json: calibration 1: a standard uncertainty is not negative
> windassay: small/own.json: calibration 1: a range of validity ends before it begins
> windassay: small/own.json: calibrations: two of them are of one thing
> windassay: small/own.json: lidar.serial: null has no place here
> windassay: small/own.json: calibration 1: a component is of type A or B
> windassay: small/own.json: calibration 1: 'quantity': a name has 1 to 120 bytes and no control characters
> error: Unit NL-0420 beside the Ravnmoor mast, eight days
>   scripts/practice/calibration.lua:114: wind_speed at height 8.9 m is not calibrated in own.json
# One certificate: what this campaign and the dossiers that it uses say of the unit; one of another unit is left out.
$ sed "s/NL-0420/NL-0999/" small/first.lua >small/g.lua; windassay run small/g.lua --into small/other.dossier >text
. digest() { sha256sum <small/$1.dossier/data/result.json | cut -d" " -f1; }
. echo "  uses = { { dossier = \"first.dossier\", sha256 = \"$(digest first)\", as = \"last year\" }, { dossier = \"other.dossier\", sha256 = \"$(digest other)\", as = \"golden\" } }," >uses
. sed "/^  period/r uses" small/later.lua | sed "s/^  checks = { /&{ \"certificate\" }, /" >small/h.lua; windassay run small/h.lua --into h >text; sed -n "/^certificate/,/^\$/p; /parts of the/,/^wind/p" text | sed "s/  [0-9a-f]\{12\}\$/  DIGEST/" | head -22; grep "left out" text
> certificate: Certificate of the unit: all that is known of it, side by side: no decision asked
>
>   parts of the certificate
>   part           title                                              report
>   last year      Unit NL-0420 beside the Ravnmoor mast, eight days  R-0420
>   this campaign  Unit NL-0420 beside the Ravnmoor mast, eight days  R-0420
>
>   part           from                  to                    record
>   last year      2026-03-02T00:00:00Z  2026-03-10T00:00:00Z  DIGEST
>   this campaign  2026-03-02T00:00:00Z  2026-03-10T00:00:00Z
>
>   calibrations
>                                         U (k =
>   calibration of                 gain       2)  speeds               from
>   wind_speed at height 8.9 m  1.00702  0.02358  3.75 to 12.25 m s-1  2026-03-02T00:00:00Z
>   wind_speed at height 8.9 m  1.00625  0.02136  4 to 16 m s-1        2026-03-02T00:00:00Z
>   wind_speed at height 8.9 m  1.00640  0.02053  2 to 19 m s-1        2026-03-02T00:00:00Z
>
>   calibration of                 gain  to                    part       check
>   wind_speed at height 8.9 m  1.00702  2026-03-10T00:00:00Z  last year  wind_speed_comparison
>   wind_speed at height 8.9 m  1.00625  2026-03-10T00:00:00Z  last year  wind_speed_comparison:4_to_16
>   wind_speed at height 8.9 m  1.00640  2026-03-10T00:00:00Z  last year  wind_speed_comparison:from_2
>   note: 'golden' is of NL-0999, not of this unit: it is left out
# Both are computed again, from the intervals and from raw data.
$ for d in small/first.dossier later; do windassay audit $d | tail -1; windassay audit $d --data small | tail -1; done
> identical, from the intervals on; the raw data were not read
> identical, from the raw data on
> identical, from the intervals on; the raw data were not read
> identical, from the raw data on
