-- The reference's own uncertainty: the chain that the campaign states of its instrument
-- (practice/instruments.lua), and, where the reference is a lidar that was accepted before, what its
-- own dossier says: instruments.NAME.accepted = { as = "last year", corrected = true }, `as` a name
-- of `uses`.
--
--   speed       u of each bin of that acceptance, between the bins linear, beyond them the nearest
--               (IEC 61400-50-2 practice, recalled); the mean deviation D is in it, not divided
--   corrected   v = v_lidar / gain, gain the forced slope of the bin means; D is replaced by what is
--               left of it, u^2 = (u^2 - D^2) / gain^2 + ((V_ref + D) / gain - V_ref)^2 (own)
--   direction   u^2 = offset^2 + u(offset)^2, the same for all directions
--
-- That u holds what the reference's reference had: one group for whatever this lidar measures.

local instruments = require "practice.instruments"

local reference = {}

--- The instrument of a channel as the campaign states it, or nil.
function reference.instrument(campaign, channel)
  return channel.instrument and campaign.instruments and campaign.instruments[channel.instrument]
end

--- Is the channel one of an instrument of the kind "lidar"?
function reference.is_lidar(campaign, channel)
  local place = reference.instrument(campaign, channel)
  return place ~= nil and place.kind == "lidar"
end

-- The check of the lidar's own dossier that a reading of this unit hangs on.
local function acceptance(campaign, place, unit)
  local a = place.accepted
  local usual = unit == "degree" and "wind_direction_comparison" or "wind_speed_comparison"
  local from, id = campaign.uses[a.as], a.check or usual
  if #place.fitted > 1 then
    error(place.name .. ": several instruments were fitted, and `accepted` is of one", 0)
  end
  local serial = place.fitted[1].serial
  if from.lidar.serial ~= serial then
    error(string.format("%s: the dossier '%s' is of %s, the instrument of %s", place.name, a.as,
      from.lidar.serial, serial), 0)
  end
  local c = from.checks[id]
  if c.status ~= "ran" then
    error(string.format("%s: %s of '%s': %s", place.name, id, a.as, c.status), 0)
  end
  return c, string.format("acceptance of %s, %s of '%s'", serial, id, a.as)
end

local function table_of(c, name, said)
  return c.tables[name] or undefined(said .. " has no table '" .. name .. "'")
end

-- The factor that the acceptance found, 1 where it is not to be corrected.
local function gain_of(place, c, said)
  if not place.accepted.corrected then return 1 end
  local slope = c.requirements.slope_bin_means
  if not (slope and slope.value) then undefined(said .. " gives no slope_bin_means") end
  return slope.value
end

-- { centre, u } of the complete bins.
local function bins_of(c, gain, said)
  local by, list = {}, {}
  for _, row in ipairs(table_of(c, "by bin", said).rows) do by[row.centre] = row end
  for _, row in ipairs(table_of(c, "uncertainty by bin", said).rows) do
    local bin = by[row.centre]
    local u, d, v = row.combined, bin and bin.deviation, bin and bin["reference mean"]
    if u and d and v then
      local rest = gain == 1 and d or (v + d) / gain - v
      list[#list + 1] = { row.centre, math.sqrt((u * u - d * d) / (gain * gain) + rest * rest) }
    end
  end
  if #list == 0 then undefined(said .. " has no complete bin with an uncertainty") end
  return list
end

local function accepted(campaign, place, reading)
  local c, said = acceptance(campaign, place, reading.unit)
  local name, u = place.name .. " acceptance"
  if reading.unit == "degree" then
    local offset = c.requirements.offset
    if not (offset and offset.value and offset.u) then undefined(said .. " gives no offset with its u") end
    u = instruments.each(reading, function()
      return math.sqrt(offset.value * offset.value + offset.u * offset.u)
    end)
  else
    local list = bins_of(c, gain_of(place, c, said), said)
    u = instruments.each(reading, function(x) return instruments.between(list, x) end)
    said = string.format("%s, bins %g to %g", said, list[1][1], list[#list][1])
  end
  return { name = name, effect = "acceptance", u = u, kind = "B", group = name, source = said,
           evidence = "computed" }
end

-- u of north as the channel states it, where the instrument does not state its mounting: a vane's
-- mounting is its orientation, and counts once.
local function north(campaign, place, channel, reading)
  if place.mounting ~= nil or reading.unit ~= "degree" then return nil end
  for _, s in ipairs(campaign.sources) do
    local said = s.name == channel.source and s.channels[channel.name].north
    if said and said.u then
      local name = place.name .. " north"
      return { name = name, effect = "mounting", u = instruments.each(reading, function() return said.u end),
               kind = "B", group = name, source = "north of " .. tostring(channel), evidence = "agreed" }
    end
  end
end

local function without(list, name)
  local rest = {}
  for _, x in ipairs(list) do
    if x ~= name then rest[#rest + 1] = x end
  end
  return rest
end

--- Components of a channel's uncertainty for `budget:include`, with `not_stated` as
--- `instruments.components` gives it; nil where the campaign names no instrument. `records` =
--- { time =, bins = } tells which of several instruments measured what.
function reference.components(campaign, channel, reading, records)
  local place = reference.instrument(campaign, channel)
  if not place then return nil end
  local list = place:components(reading, records)
  if place.accepted then list[#list + 1] = accepted(campaign, place, reading) end
  local turned = north(campaign, place, channel, reading)
  if turned then
    list[#list + 1] = turned
    list.not_stated = without(list.not_stated, "mounting")
  end
  return list
end

--- Why a budget with these components (nil: the campaign names no instrument) is not the whole
--- uncertainty: the effect of which most hangs is not stated, a cup's calibration or a vane's
--- orientation. Nil where it is.
function reference.not_whole(list, channel)
  if not list then return "no instrument of the reference is named: its uncertainty is not in it" end
  local needed = channel.unit == "degree" and "mounting" or "calibration"
  for _, effect in ipairs(list.not_stated) do
    if effect:find(needed, 1, true) == 1 then
      return string.format("%s states no uncertainty of its %s: the reference's chain is not whole",
        channel.instrument, effect)
    end
  end
end

--- The channel's mean, corrected where its own acceptance is to be applied, and what was done (nil:
--- nothing).
function reference.mean(campaign, channel)
  local place = reference.instrument(campaign, channel)
  if not (place and place.accepted and place.accepted.corrected) or channel.unit ~= "m s-1" then
    return channel.mean, nil
  end
  local c, said = acceptance(campaign, place, channel.unit)
  local gain = gain_of(place, c, said)
  return channel.mean / gain, string.format("the reference is divided by %.5f, by the %s", gain, said)
end

return reference
