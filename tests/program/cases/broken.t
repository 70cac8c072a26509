# Checks that break beside one that does not: each says where and why, the good one reports, and
# the exit code is that of a script error (69) whatever the good one says.
$ cp -r broken/* small; windassay run small/broken.lua --into out
> no decision asked: Unit NL-0420 beside the Ravnmoor mast, eight days
> No decision asked: no contract names limits for these checks. Broken, without a part in this: loop, allocate, open, deep, fail.
> status of the report: preliminary
>
> loop: Loops for ever: error
>   campaign/checks/loop.lua:2: the script ran for more than its 1000000000 instructions
>     is there a loop that does not end? loops over records belong into primitives (columns, bins, fits)
>
> allocate: Takes all memory: error
>   the script needs more than its 512 MiB of memory
>     use columns instead of tables of numbers
>
> open: Opens a file: error
>   campaign/checks/open.lua:2: 'io' is not available in scripts
>     a script computes; files are read by the sources of a campaign
>
> deep: Calls itself for ever: error
>   campaign/checks/deep.lua:1: stack overflow
>     does a function call itself without end?
>
> fail: Asks for what is not there: error
>   campaign/checks/fail.lua:3: the reference has no channel with quantity = wind_sped
>     there are mast.cup (wind_speed, 8.9 m, primary); mast.humidity (relative_humidity); mast.temperature (air_temperature); mast.vane (wind_from_direction, 8.4 m)
>
> empty: A result that is not defined: no decision asked
>   standard deviation is not defined: 1 value, at least 2 needed
>
> fine: Works: no decision asked
>
>   name  value  u (k = 1)  unit
>   mean  9.369             m/s
>
>   exclusions, in order
>   reason             intervals  only  unknown  left
>   reference missing          0     0        0  1152
>   used 1152 + used in records, not in bin means 0 + outside the bins 0 + excluded 0 = grid 1152
>
> dossier: out
[69]
$ /usr/bin/python3 - <<'PY'
. import json
. for c in json.load(open("out/data/result.json"))["checks"]:
.     e = c.get("error", {})
.     print(c["id"], c["status"], e.get("file"), e.get("line"), e.get("message"), sep=" | ")
. PY
> loop | error | campaign/checks/loop.lua | 2 | the script ran for more than its 1000000000 instructions
> allocate | error | None | None | the script needs more than its 512 MiB of memory
> open | error | campaign/checks/open.lua | 2 | 'io' is not available in scripts
> deep | error | campaign/checks/deep.lua | 1 | stack overflow
> fail | error | campaign/checks/fail.lua | 3 | the reference has no channel with quantity = wind_sped
> empty | inconclusive | None | None | None
> fine | ran | None | None | None
$ cd out && sha256sum -c --strict --quiet manifest-sha256.txt && echo whole
> whole
# A contractual check that broke is never a pass.
$ sed -i 's/^broken.checks = .*/broken.checks = { { "fine" }, { "fail", criteria = { contract = "own" } } }/' small/broken.lua
. mkdir small/criteria; cat >small/criteria/own.lua <<'LUA'
. return { title = "Own", source = "test", evidence = "invented", rule = "simple", limits = {
.   { check = "fail", require = "x", lower = 0, unit = "1" } } }
. LUA
. windassay run small/broken.lua --into asked >text; echo $?; head -2 text
> 69
> error: Unit NL-0420 beside the Ravnmoor mast, eight days
> Error: a check broke, and 1 of 1 contractual requirements with it: 'x' of fail.
