-- luacheck: exactly what a script has in the sandbox, and nothing else.
stds.windassay = {
  read_globals = {
    "assert", "error", "getmetatable", "ipairs", "missing", "pairs", "pcall", "print", "rawequal",
    "rawlen", "require", "select", "setmetatable", "tonumber", "tostring", "type", "undefined",
    math = { fields = { "abs", "ceil", "floor", "huge", "max", "min", "pi", "sqrt", "tointeger", "type" } },
    string = { fields = { "byte", "char", "find", "format", "gmatch", "gsub", "len", "lower", "match",
                          "rep", "reverse", "sub", "upper" } },
    table = { fields = { "concat", "insert", "pack", "remove", "sort", "unpack" } },
    utf8 = { fields = { "char", "charpattern", "codepoint", "codes", "len", "offset" } },
    -- primitives (docs/reference/scripting.md)
    "angle", "bin", "budget", "circular", "column", "compare", "conformity", "correlate", "fit",
    "monte_carlo", "quantile", "quantity", "reconstruct", "resample", "uncertainty",
    -- of a free script (`windassay script`)
    "data", "report",
  },
}
std = "windassay"
max_line_length = 120
exclude_files = { "tests/hostile", "tests/data", "scripts/types", "build*" }
-- They hold what they must print, and misuse on purpose.
files["tests/scripts"] = { max_line_length = false, ignore = { "111", "112", "113", "122", "143" } }
