-- What report takes, and what it refuses.
report:value("slope", 1.0017, { unit = "1", u = 0.002, text = "forced" })
--~ {"name":"slope","value":1.0017,"unit":"1","u":0.002,"text":"forced"}
report:value("state", "ok")
report:value("dry", true)
--~ {"name":"state","value":"ok"},{"name":"dry","value":"yes"}
report:note("a note")
report:inconclusive("too few hours")
--~ "notes":["a note"]
report:inconclusive("two bins are empty")
--! undefined: too few hours; two bins are empty
report:require("r2", 0.99, { scatter_only = "a ratio" })
report:require("slope", 1.001, { u = 0.01, source = "budget" })
--~ {"name":"r2","value":0.99,"unit":"1","scatter_only":"a ratio"},{"name":"slope","value":1.001,"unit":"1","u":0.01,"source":"budget"}
report:table("by bin", { columns = {
  { name = "day", values = { "2026-03-02", "2026-03-03" } },
  { name = "n", unit = "1", values = { 3, missing } },
  { name = "speed", values = column.new({ 4.5, 5 }, "m/s") },
} }, { title = "By bin" })
--~ {"name":"by bin","title":"By bin","columns":[{"name":"day"},{"name":"n","unit":"1"},{"name":"speed","unit":"m s-1"}],"rows":[["2026-03-02",3,4.5],["2026-03-03",null,5]]}
report:figure("scatter", {
  title = "Scatter",
  x = { label = "reference", unit = "m s-1" }, y = { label = "unit", unit = "m s-1" },
  series = {
    { kind = "points", label = "records", x = column.new({ 1, 2, 3 }, "m/s"), y = { 1, missing, 3 } },
    { kind = "error", label = "means", x = { 1 }, y = { 2 }, u = { 0.1 } },
    { kind = "level", label = "zero", y = 0 },
  },
})
--~ {"kind":"points","label":"records","x":[1,3],"y":[1,3]},{"kind":"error","label":"means","x":[1],"y":[2],"u":[0.1]},{"kind":"level","label":"zero","y":0}
local function refused(...) print(select(2, pcall(...)).message) end
local R = report
refused(R.value, R, "slope", 1)
refused(R.value, R, "x", 0 / 0)
refused(R.value, R, "x", {})
refused(R.value, R, "x", missing)
refused(R.value, R, "x", 1, { unitt = "m" })
refused(R.require, R, "x", 1)
refused(R.require, R, "x", 1, { u = 0.1 })
refused(R.require, R, "x", missing, { scatter_only = "y" })
refused(R.table, R, "t", { columns = { { name = "a", values = { 1 } }, { name = "b", values = { 1, 2 } } } })
refused(R.table, R, "t", { columns = { { name = "a", values = { 1, print } } } })
refused(R.table, R, "t", {})
refused(R.figure, R, "f", { x = { label = "", unit = "" }, y = { label = "", unit = "" }, series = { { kind = "pints" } } })
refused(R.figure, R, "f", { x = { label = "a" }, y = {}, series = { { kind = "level", y = 1 } } })
refused(R.figure, R, "f", { x = { label = "", unit = "" }, y = { label = "", unit = "" },
  series = { { kind = "points", x = { 1 }, y = { 1, 2 } } } })
refused(function() R.valu("x") end)
--> report:value: 'slope' is reported twice
--> report:value: 'x' is not defined (nan)
--> report:value: 'x': expected a number or a text, got table
--> 'x' is missing
--> report:value: unknown option 'unitt'
--> report:require: 'x': a decision needs the whole uncertainty
--> report:require: 'x': a decision needs the whole uncertainty
--> 'x' is missing
--> report:table: 't': column 2 has 2 values, the first has 1
--> report:table: 't', column 1: entry 2 is function, not a number, a text or missing
--> report:table: 't' has no columns
--> report:figure: 'f': no kind of series 'pints'
--> report:figure: 'x' needs a label and a unit
--> report:figure: 'f', y: 2 values, where 'x' has 1
--> a report has no 'valu'
