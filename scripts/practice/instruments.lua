-- The reference chain: what the campaign states of an instrument, as components of an uncertainty
-- budget. `campaign.instruments.NAME:components(reading)` calls this file.
-- IEC 61400-12-1:2017, annexes D, E, I and J for cups (formulas recalled, check your copy):
--
--   calibration       u_cal    certificate, between its points linear; beyond them the nearest
--   recalibration     u_post   |V_after - V_before| / sqrt(3), both lines at the same signal
--   class             u_ope    (0.05 m/s + 0.005 V) k / sqrt(3), k the class number ("1.2A": 1.2);
--                              of a lidar A V / sqrt(3), A its accuracy class ({ 1.5, "%" })
--   mounting          u_mast   as stated (flow distortion; of a vane: its orientation)
--   finial            u_lgt    as stated (lightning finial)
--   data acquisition  u_daq    as stated (logger)
--   linearity         u_dir    as stated (what a vane's certificate leaves over the sector)
--
-- All are standard uncertainties (k = 1) of type B in the unit of the reading. Each is a
-- correlation group of its own, named after the instrument: whatever the same cup measures (bins,
-- beams, heights, units) hangs on the same calibration, class and mounting.
-- What the campaign does not state is not invented: `not_stated` lists it.
-- A `repeatability` is none of them: it is what the records of one instrument scatter by themselves,
-- is in the scatter of the deviations already, and serves fits with errors on both axes.

local instruments = {}

local ROOT_3 = math.sqrt(3)

local function readings(reading)
  if type(reading) ~= "number" then return reading end
  return column.new({ reading })
end

--- One number for each reading, by a function of it; missing stays missing.
function instruments.each(reading, f)
  local out = {}
  for i = 1, #reading do
    out[i] = reading[i]
    if out[i] ~= missing then out[i] = f(out[i]) end
  end
  return column.new(out, reading.unit)
end

-- { 0.5, "%" } of the reading, { 0.01, "m/s" }, or a number in the unit of the reading.
local function stated(q, reading, what)
  local number, unit = q, nil
  if type(q) == "table" then number, unit = q[1], q[2] end
  if type(number) ~= "number" or number < 0 then
    error(what .. ": a standard uncertainty is written { 0.5, \"%\" } or { 0.01, \"m/s\" }", 0)
  end
  if unit == "%" then return reading:abs() * (number / 100), string.format("%s %%", number) end
  local here = instruments.each(reading, function() return number end)
  if unit then
    here = (here / { 1, reading.unit } * { 1, unit }):to(reading.unit)
  end
  return here, string.format("%s %s", number, unit or reading.unit)
end

--- Linear between the pairs { value, u } of a certificate; the nearest pair's u beyond them.
function instruments.between(pairs_of_u, x)
  local last = pairs_of_u[1]
  if x <= last[1] then return last[2] end
  for i = 2, #pairs_of_u do
    local next_one = pairs_of_u[i]
    if x <= next_one[1] then
      return last[2] + (next_one[2] - last[2]) * (x - last[1]) / (next_one[1] - last[1])
    end
    last = next_one
  end
  return last[2]
end

local function certificate_of(fitted)
  local c = fitted.calibration
  return (c.certificate and "certificate " .. c.certificate or "certificate") .. " of " .. fitted.serial
end

local function calibration(place, fitted, reading)
  local u = fitted.calibration and fitted.calibration.standard_uncertainty
  if not u then return nil end
  if type(u) == "table" and type(u[1]) == "table" then
    local low, high = u[1][1], u[#u][1]
    return instruments.each(reading, function(x) return instruments.between(u, x) end),
      string.format("%s, %s to %s %s", certificate_of(fitted), low, high, reading.unit)
  end
  local here, said = stated(u, reading, place.name .. ": calibration")
  return here, certificate_of(fitted) .. ", " .. said
end

local function recalibration(_, fitted, reading)
  local before, after = fitted.calibration, fitted.calibration_after
  if not (before and before.slope and after and after.slope) then return nil end
  return instruments.each(reading, function(v)
    local signal = (v - before.offset) / before.slope
    return math.abs(after.slope * signal + after.offset - v) / ROOT_3
  end), "calibrated again: " .. (after.certificate or "later certificate") .. ", rectangular"
end

--- The class number of "1.2A".
function instruments.class_number(class)
  local k = tonumber(string.match(class, "^(%d+%.?%d*)%a$") or "")
  if not k then error("a class is written as in \"1.2A\"; this one is '" .. class .. "'", 2) end
  return k
end

--- The operational standard uncertainty of a cup of this class at a speed (a column in m/s).
function instruments.operational(class, speed)
  return ({ 0.05, "m/s" } + 0.005 * speed) * (instruments.class_number(class) / ROOT_3)
end

local function class(place, _, reading)
  if not place.class then return nil end
  if place.kind == "lidar" then
    local a, said = stated(place.class, reading, place.name .. ": class")
    return a / ROOT_3, "accuracy class " .. said .. ", rectangular"
  end
  return instruments.operational(place.class, reading), "class " .. place.class
end

local function statement(key)
  return function(place, _, reading)
    if place[key] == nil then return nil end
    local here, said = stated(place[key], reading, place.name .. ": " .. key)
    return here, "stated: " .. said
  end
end

local EFFECTS = {
  { "calibration",      calibration,                   evidence = "seen" },
  { "recalibration",    recalibration,                 evidence = "recalled" },
  { "class",            class,                         evidence = "recalled" },
  { "mounting",         statement "mounting",          evidence = "agreed" },
  { "finial",           statement "finial",            evidence = "agreed" },
  { "data acquisition", statement "data_acquisition",  evidence = "agreed" },
  { "linearity",        statement "linearity",         evidence = "agreed" },
}

-- What a complete chain states.
local EXPECTED = {
  cup = { "calibration", "class", "mounting", "data acquisition" },
  vane = { "calibration", "mounting", "linearity", "data acquisition" },
  inclinometer = { "calibration", "mounting", "data acquisition" },
  lidar = { "calibration", "class", "mounting" },
  ["lidar's direction"] = { "calibration", "mounting" },
}

local function kind_of(place, reading)
  if place.kind then return place.kind end
  return (place.class or reading.unit == "m s-1") and "cup" or "vane"
end

-- The instrument that was fitted: the only one, or the one of this serial.
local function fitted_in(place, serial)
  local found
  for _, f in ipairs(place.fitted) do
    if serial == nil or f.serial == serial then
      if found then
        error(string.format("%s: several instruments were fitted; say which: { serial = \"%s\" }",
          place.name, found.serial), 0)
      end
      found = f
    end
  end
  if not found then error(place.name .. ": no instrument of serial " .. tostring(serial) .. " was fitted", 0) end
  return found
end

--- A list of components for `budget:include`: name, effect, u (a column, one a reading), kind,
--- group, source, evidence; and `not_stated`, the effects that a complete chain would have.
--- `place` is an entry of the campaign's instruments with its `name`; `reading` a column of speeds
--- or directions, or a number; `options.unit` its unit where it has none (default m/s), and
--- `options.serial` which of several.
function instruments.components(place, reading, options)
  options = options or {}
  local fitted, list, there = fitted_in(place, options.serial), { not_stated = {} }, {}
  reading = readings(reading)
  if reading.unit == "1" then reading = reading * { 1, options.unit or "m/s" } end
  if place.class and place.kind ~= "lidar" and reading.unit ~= "m s-1" then reading = reading:to("m/s") end
  for _, effect in ipairs(EFFECTS) do
    local u, source = effect[2](place, fitted, reading)
    if u then
      local name = place.name .. " " .. effect[1]
      there[effect[1]] = true
      list[#list + 1] = { name = name, effect = effect[1], u = u, kind = "B", group = name,
                          source = source, evidence = effect.evidence }
    end
  end
  local kind = kind_of(place, reading)
  if kind == "lidar" and reading.unit ~= "m s-1" then kind = "lidar's direction" end
  for _, effect in ipairs(EXPECTED[kind] or {}) do
    if not there[effect] and not (effect == "calibration" and place.accepted) then
      list.not_stated[#list.not_stated + 1] = effect
    end
  end
  return list
end

--- What the campaign states of how the means of single intervals scatter by the instrument itself:
--- a column, one standard uncertainty for each reading; nil where it states none.
function instruments.repeatability(place, reading)
  if place.repeatability == nil then return nil end
  return (stated(place.repeatability, reading, place.name .. ": repeatability"))
end

return instruments
