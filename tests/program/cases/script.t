# Free scripts. NIST StRD NoInt1 (certified: slope 2.07438016528926, its standard uncertainty
# 0.0165289256198347, residual sd 3.56753034006338, R squared 0.999365492298663; the centred one
# from 60-digit arithmetic, tests/reference/nist).
$ cat >noint1.lua <<'LUA'
. local d = data.noint1
. local f = fit.through_origin(d.x, d.y)
. print(f.n, f.dof, f.left_out)
. print(f.slope, f.slope_u, f.residual_sd)
. print(f.r2_uncentred, f.r2_centred, f.r2_pearson)
. LUA
. windassay script noint1.lua --data noint1="$ROOT/tests/reference/nist/NoInt1.csv"
> 11	10	0
> 2.074380165289256	0.01652892561983471	3.567530340063379
> 0.9993654922986628	-0.15702479338842976	1.0
# The same as a record.
$ cat >record.lua <<'LUA'
. local f = fit.through_origin(data.noint1.x, data.noint1.y)
. report:value("slope", f.slope, { unit = "1", u = f.slope_u })
. report:table("coefficients", { columns = {
.   { name = "which", values = { "uncentred", "centred", "Pearson" } },
.   { name = "R2", unit = "1", values = { f.r2_uncentred, f.r2_centred, f.r2_pearson } } } })
. LUA
. windassay script record.lua --data noint1="$ROOT/tests/reference/nist/NoInt1.csv"
>
>   name     value  u (k = 1)  unit
>   slope  2.07438      0.017
>
>   coefficients
>   which            R2
>   uncentred   0.99937
>   centred    -0.15702
>   Pearson     1.00000
$ windassay script record.lua --data noint1="$ROOT/tests/reference/nist/NoInt1.csv" --json >r.json
. /usr/bin/python3 -c 'import json; r = json.load(open("r.json"))["checks"][0]
. print(r["values"], r["tables"][0]["rows"])'
> [{'name': 'slope', 'value': 2.074380165289256, 'unit': '1', 'u': 0.01652892561983471}] [['uncentred', 0.9993654922986628], ['centred', -0.15702479338842976], ['Pearson', 1]]
# Mistakes of a script: place, source line, what would be right.
$ printf 'local d = data.pairs\nprint(d.untt:mean())\n' >a.lua
. windassay script a.lua --data pairs="$ROOT/demo/first/pairs.csv"
! windassay: a.lua:2: there is no 'untt' here
!      2 | print(d.untt:mean())
!   did you mean 'unit'?
[69]
$ echo 'print(data.pears.unit)' >a.lua; windassay script a.lua --data pairs="$ROOT/demo/first/pairs.csv"
! windassay: a.lua:1: there is no 'pears' here
!      1 | print(data.pears.unit)
!   did you mean 'pairs'?
[69]
$ printf 'local x = 1\nlocal y = = 2\n' >a.lua; windassay script a.lua
! windassay: a.lua:2: unexpected symbol near '='
!      2 | local y = = 2
[69]
$ echo 'fit.thruogh_origin(1, 2)' >a.lua; windassay script a.lua
! windassay: a.lua:1: 'fit' has no 'thruogh_origin'
!      1 | fit.thruogh_origin(1, 2)
!   did you mean 'through_origin'?
[69]
$ echo 'bin.by(data.p.mast, { widht = 1 })' >a.lua; windassay script a.lua --data p="$ROOT/demo/first/pairs.csv"
! windassay: a.lua:1: bin.by: unknown option 'widht'
!      1 | bin.by(data.p.mast, { widht = 1 })
!   did you mean 'width'?
[69]
$ echo 'print(column.new{ 1, 2 } + column.new({ 1, 2 }, "m/s"))' >a.lua; windassay script a.lua
! windassay: a.lua:1: '1' and 'm s-1' cannot be added
!      1 | print(column.new{ 1, 2 } + column.new({ 1, 2 }, "m/s"))
[69]
$ echo 'print(column.new({ 1, 2 }, "m/s"):below(2))' >a.lua; windassay script a.lua
! windassay: a.lua:1: a bare number cannot be compared with a column in 'm s-1'
!      1 | print(column.new({ 1, 2 }, "m/s"):below(2))
!   say its unit: (2, "m s-1")
[69]
$ echo 'error("my own words")' >a.lua; windassay script a.lua
! windassay: a.lua:1: my own words
!      1 | error("my own words")
[69]
$ echo 'local f = io.open("/etc/passwd")' >a.lua; windassay script a.lua
! windassay: a.lua:1: 'io' is not available in scripts
!      1 | local f = io.open("/etc/passwd")
!   a script computes; files are read by the sources of a campaign
[69]
$ printf 'print("before")\nwhile true do end\n' >a.lua; windassay script a.lua
> before
! windassay: a.lua:2: the script ran for more than its 1000000000 instructions
!      2 | while true do end
!   is there a loop that does not end? loops over records belong into primitives (columns, bins, fits)
[69]
# What is not defined says so, and is no number.
$ echo 'print(column.new{ 1 }:sd())' >a.lua; windassay script a.lua
! windassay: a.lua:1: standard deviation is not defined: 1 value, at least 2 needed
!      1 | print(column.new{ 1 }:sd())
[69]
$ echo 'print(fit.through_origin(column.new{ 0, 0 }, column.new{ 1, 2 }).slope)' >a.lua; windassay script a.lua
! windassay: a.lua:1: a fit is not defined: all values of 'x' are 0
!      1 | print(fit.through_origin(column.new{ 0, 0 }, column.new{ 1, 2 }).slope)
[69]
# Columns of times and of texts.
$ cat >t.csv <<'CSV'
. when,state,x
. 2026-03-02T00:00Z,ok,1
. 2026-03-02T00:10Z,wet,
. 2026-03-02T00:20Z,ok,3
. CSV
. echo 'print(data.t.when[1], data.t.state[2], data.t.x[2], data.t.x:mean())' >a.lua
. windassay script a.lua --data t=t.csv
> 1772409600.0	wet	missing	2.0
$ echo 'print(data.t.state:mean())' >a.lua; windassay script a.lua --data t=t.csv
! windassay: a.lua:1: column 'state' of 't' (first in line 2) holds text and cannot be used as numbers
!      1 | print(data.t.state:mean())
[69]
$ printf 'a,b\n1,2\n3\n' >bad.csv; echo 'print(data.t.a[1])' >a.lua; windassay script a.lua --data t=bad.csv
! windassay: bad.csv:3:1: 1 field, 2 expected
[65]
$ printf 'a,a\n1,2\n' >bad.csv; windassay script a.lua --data t=bad.csv
! windassay: bad.csv:1:3: column name 'a' stands twice
[65]
$ : >bad.csv; windassay script a.lua --data t=bad.csv
! windassay: bad.csv:1:1: the file is empty
!   a row of column names is needed
[65]
# A value that is a text is shown as such.
$ printf 'report:value("state", "valid")\nreport:value("open", true)\nreport:value("hostile", "<b>\\27[31m")\n' >text.lua && windassay script text.lua
>
>   name           value  u (k = 1)  unit
>   state          valid
>   open             yes
>   hostile  <b>\x1b[31m
