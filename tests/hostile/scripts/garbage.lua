-- Every function with whatever a stranger may hand it: errors, never a crash, never a hang.
--% instructions 400000000
local c = column.new({ 1, 2, missing, 4, 5.5 }, "m/s")
local short = column.new({ 1, 2 }, "m/s")
local d = column.new({ 10, 350, 0, 90, missing }, "degree")
local m = c:above(2, "m/s")
local bins = bin.by(c, { width = 1, lowest = 1, highest = 5, at_least = 1 })
local deep = {}
for _ = 1, 200 do deep = { deep } end
local loop = {}
loop.loop = loop
local huge = 2 ^ 62
local values = {
  -1, 0, 1, 3, 2.5, huge, -huge, math.huge, 0 / 0, 9007199254740993, "", "x", "m/s", "degC", "\0", "\xff",
  ("a"):rep(300), true, false, missing, {}, { 1 }, { 1, 2, 3, 4, 5 }, { width = -1 }, { width = 1e-300, lowest = 0,
  highest = 1 }, { edges = { 3, 2, 1 } }, { edges = { 1 } }, { edges = {} }, { within = 1e9 }, { within = -1 },
  { [1.5] = 1 }, { x = c, y = d }, { u_x = 0, u_y = 0 }, { u_x = 1, u_y = c, correlation = 2 }, { ratio = 0 }, { ratio = -1 },
  { weights = short }, { weights = c }, { 0.5, "m/s" }, { 0.5, "no" }, { "m/s", 0.5 }, deep, loop, type, c, short, d, m,
  bins, report, setmetatable({}, { __index = function() error("x") end }),
  setmetatable({}, { __tostring = function() return 3 end }), setmetatable({}, { __call = error }),
  setmetatable({}, { __eq = error, __lt = error, __concat = error }),
}
local count = 0
local function call(f, ...)
  count = count + 1
  pcall(f, ...)
end
local function try(f)
  call(f)
  for i = 1, #values do
    call(f, values[i])
    for k = 1, #values do call(f, values[i], values[k]) end
    call(f, c, values[i], values[(i * 7) % #values + 1])
    call(f, values[i], c, values[(i * 11) % #values + 1])
    call(f, c, d, values[i])
  end
end
-- Not error and undefined, which only raise; not require, which asks the parent.
local passed = { error = true, undefined = true, require = true, pcall = true, print = true, data = true }
for name, value in pairs(_ENV) do
  if type(value) == "function" and not passed[name] then try(value) end
  if type(value) == "table" and name ~= "data" and name ~= "string" then
    for _, f in pairs(value) do
      if type(f) == "function" then try(f) end
    end
  end
end
local methods = {
  "abs", "sqrt", "exp", "log", "to", "lag", "where", "mean", "sd", "min", "max", "sum", "count", "quantile", "median",
  "autocorrelation", "effective_count", "below", "above", "equals", "between", "in_sector", "missing", "unchanged",
  "grow", "rms", "standard_error", "value", "table", "figure", "note", "inconclusive",
}
for _, object in ipairs({ c, d, m, bins, report }) do
  for _, name in ipairs(methods) do
    local ok, f = pcall(function() return object[name] end)
    if ok and type(f) == "function" then
      for i = 1, #values do
        call(f, values[i])
        call(f, object, values[i])
        call(f, object, values[i], values[(i * 7) % #values + 1])
        call(f, object, values[(i * 5) % #values + 1], values[i], values[(i * 3) % #values + 1])
      end
    end
  end
  call(function() object.x = 1 end)
  call(function() return object .. "x" end)
  call(function() return object < object end)
  call(function() return #object end)
  for i = 1, #values do
    call(function() return object[values[i]] end)
    call(function() return object + values[i] end)
    call(function() return values[i] / object end)
    call(function() return object ^ values[i] end)
    call(function() return object & values[i] end)
    call(function() return values[i] | object end)
  end
end
--! undefined: x
print(count > 100000, getmetatable(c), getmetatable(m), getmetatable(bins), getmetatable(report))
--> true	locked	locked	locked	locked
undefined("x")
