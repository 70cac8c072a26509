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
-- Where the instrument was changed, the first two are those of the instruments that measured, each by
-- its share of the records; the others belong to the place. Certificates of several are taken as
-- fully correlated (one tunnel, one procedure), so that a change makes nothing smaller.
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

-- own: of the instrument itself, not of its place.
local EFFECTS = {
  { "calibration",      calibration,                   evidence = "seen", own = true },
  { "recalibration",    recalibration,                 evidence = "recalled", own = true },
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

-- ---- which instrument measured -------------------------------------------------------------------

-- 1 where the mask is true, else 0; by bin the share of its records.
local function share_of(mask, bins)
  if bins then return bins:share(mask) end
  local out = {}
  for i = 1, #mask do out[i] = mask[i] == true and 1 or 0 end
  return column.new(out)
end

local function fitted_at(time, f)
  local there = ~time:below(f.starts, "s")
  return f.ends and there & time:below(f.ends, "s") or there
end

-- The times of n readings: one for each, or one for all.
local function times(time, n)
  if type(time) ~= "number" then return time end
  local out = {}
  for i = 1, n do out[i] = time end
  return column.new(out, "s")
end

-- A list of { fitted =, share = } of the instruments that measured n readings at `o.time`.
local function by_time(place, o, n)
  local list, all, time = {}, nil, times(o.time, n)
  for _, f in ipairs(place.fitted) do
    local share = share_of(fitted_at(time, f), o.bins)
    all = all and all + share or share
    if share:sum() > 0 then list[#list + 1] = { fitted = f, share = share } end
  end
  if #list == 0 or (all - 1):abs():max() > 1e-9 then
    error(place.name .. ": at some of the times nothing was fitted", 0)
  end
  return list
end

-- The same: the only one, the one of a serial, or those at a time.
local function measured_by(place, o, n)
  local list = {}
  for _, f in ipairs(place.fitted) do
    if o.serial == nil or f.serial == o.serial then list[#list + 1] = { fitted = f } end
  end
  if #list == 0 then
    error(string.format("%s: no instrument of serial %s was fitted", place.name, o.serial), 0)
  end
  if #list == 1 then return list end
  if o.time then return by_time(place, o, n) end
  error(string.format("%s: several instruments were fitted; say when: { time = } or which: "
    .. "{ serial = \"%s\" }", place.name, list[1].fitted.serial), 0)
end

-- The u of an effect and its source; nil where it is not stated, and then of which serial.
local function effect_of(effect, place, parts, reading)
  if not effect.own then return effect[2](place, parts[1].fitted, reading) end
  local sum, said = nil, {}
  for _, part in ipairs(parts) do
    local u, source = effect[2](place, part.fitted, reading)
    if u then
      u = part.share and u * part.share or u
      sum, said[#said + 1] = sum and sum + u or u, source
    elseif effect[1] == "calibration" then
      return nil, part.share and part.fitted.serial or nil
    end
  end
  return sum, table.concat(said, "; ")
end

-- ---- components ----------------------------------------------------------------------------------

--- A list of components for `budget:include`: name, effect, u (a column, one a reading), kind,
--- group, source, evidence; and `not_stated`, the effects that a complete chain would have.
--- `place` is an entry of the campaign's instruments with its `name`; `reading` a column of speeds
--- or directions, or a number. Options: `unit` of a reading that has none (default m/s). Where several
--- instruments were fitted one after another: `time`, the start of each reading's interval (a column
--- in s since 1970 as r.time is, or a number for all); or `time` of the records with the `bins` that they
--- were sorted into, one reading a bin; or the `serial` of one that was fitted once.
function instruments.components(place, reading, options)
  options = options or {}
  local list, gone = { not_stated = {} }, {}
  reading = readings(reading)
  local parts = measured_by(place, options, #reading)
  if reading.unit == "1" then reading = reading * { 1, options.unit or "m/s" } end
  if place.class and place.kind ~= "lidar" and reading.unit ~= "m s-1" then reading = reading:to("m/s") end
  for _, effect in ipairs(EFFECTS) do
    local u, source = effect_of(effect, place, parts, reading)
    if u then
      local name = place.name .. " " .. effect[1]
      list[#list + 1] = { name = name, effect = effect[1], u = u, kind = "B", group = name,
                          source = source, evidence = effect.evidence }
    else
      gone[effect[1]] = source and effect[1] .. " of " .. source or effect[1]
    end
  end
  local kind = kind_of(place, reading)
  if kind == "lidar" and reading.unit ~= "m s-1" then kind = "lidar's direction" end
  for _, effect in ipairs(EXPECTED[kind] or {}) do
    if gone[effect] and not (effect == "calibration" and place.accepted) then
      list.not_stated[#list.not_stated + 1] = gone[effect]
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
