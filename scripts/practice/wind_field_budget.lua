-- What the uncertainties of line-of-sight speeds and of geometry make of the reconstructed speed and
-- direction, by bin. After IEC 61400-50-3 (7.6 and annex A, recalled, check your copy): the part of
-- the line-of-sight speeds that all beams share, because one reference calibrated them, is fully
-- correlated (for the speed it counts whole, in the direction it cancels), each beam's own is
-- independent: G U G' of `reconstruct.wind`. Angles by numeric sensitivities
-- (practice/wind_field.lua).
--
-- Where the campaign takes a calibration of the beams, what they share and what is their own are the
-- parts of its budget (practice/calibration.lua); else the parameters u_shared and u_own.
--
-- A nacelle unit sees the wind from one side: the bin's mean line-of-sight speeds stand for it. A
-- profiler sees it from all sides, where such means cancel: a level wind of the bin's mean speed is
-- turned through twelve directions, and the root of the mean square is taken (own).

local calibration = require "practice.calibration"
local wind_field  = require "practice.wind_field"

local wind_field_budget = {}

local SPEEDS = "line-of-sight speeds, "
local DIRECTIONS = 12

-- What is uncertain of line-of-sight speeds: a list of { name, source, u = { one a beam }, shared }.
local function of_speeds(los, taken, p)
  if taken[1] then
    local shared, own = calibration.of_several(taken, los)
    local list = {}
    for i, g in ipairs(shared) do
      list[i] = { name = SPEEDS .. g.name, u = g.u, shared = true, source = g.source }
    end
    list[#list + 1] = { name = SPEEDS .. "each beam's own", u = own,
                        source = "calibration of the beams: what none shares with another" }
    return list
  end
  local shared, own = {}, {}
  for k, x in ipairs(los) do
    shared[k], own[k] = x * p.u_shared / 100, math.abs(x) * p.u_own / 100
  end
  return { { name = SPEEDS .. "shared by the beams", u = shared, shared = true,
             source = string.format("parameter u_shared, %g %%", p.u_shared) },
           { name = SPEEDS .. "each beam's own", u = own,
             source = string.format("parameter u_own, %g %%", p.u_own) } }
end

-- Parts of the uncertainty of one wind: a list of { name, source, speed, direction }. `los` are its
-- line-of-sight speeds, `o` what `reconstruct.wind` takes, `taken` the calibrations of the beams, `p` the
-- parameters u_shared, u_own, u_opening, u_tilt.
local function of_one(beams, los, o, taken, p)
  local list = {}
  for i, part in ipairs(of_speeds(los, taken, p)) do
    local w = reconstruct.wind(beams, los, { frame = o.frame, model = o.model, height = o.height,
      tilt = o.tilt, roll = o.roll, u = not part.shared and part.u or nil,
      u_common = part.shared and part.u or nil })
    list[i] = { name = part.name, source = part.source, speed = w.speed_u[1], direction = w.direction_u[1] }
  end
  local s = wind_field.sensitivities(beams, los, { frame = o.frame, model = o.model,
    height = o.height, tilt = o.tilt, roll = o.roll })
  local function tilt(what)
    local c = math.abs(s.tilt[what][1])
    if s.roll then c = math.sqrt(c * c + s.roll[what][1] ^ 2) end
    return c * p.u_tilt
  end
  list[#list + 1] = { name = "opening angle", speed = math.abs(s.opening.speed[1]) * p.u_opening,
                      direction = math.abs(s.opening.direction[1]) * p.u_opening,
                      source = string.format("parameter u_opening, %g degree", p.u_opening) }
  list[#list + 1] = { name = "tilt", speed = tilt "speed", direction = tilt "direction",
                      source = string.format("parameter u_tilt, %g degree", p.u_tilt) }
  return list
end

-- The root of the mean square of several, part by part.
local function rms(lists)
  local out = {}
  for n, part in ipairs(lists[1]) do
    local s, d = 0, 0
    for _, one in ipairs(lists) do s, d = s + one[n].speed ^ 2, d + one[n].direction ^ 2 end
    out[n] = { name = part.name, source = part.source, speed = math.sqrt(s / #lists),
               direction = math.sqrt(d / #lists) }
  end
  return out
end

-- A wind of a speed from all sides, in axes of the unit that stands level.
local function all_round(beams, speed, o, taken, p)
  local list, level = {}, { frame = o.frame, model = o.model }
  for i = 1, DIRECTIONS do
    local from, los = 360 / DIRECTIONS * (i - 0.5), {}
    for k, b in ipairs(beams) do
      los[k] = -speed * angle.cos(b.elevation) * angle.cos(from - b.azimuth)
    end
    list[i] = of_one(beams, los, level, taken, p)
  end
  return rms(list)
end

--- Parts of the uncertainty, in the order of a budget: a list of { name, source, speed, direction },
--- the last two lists with one value a bin, missing where the bin is not complete. `los` are the
--- bins' mean line-of-sight speeds, `speed` their mean speed, a column; `taken` the calibrations of the
--- beams (empty: none).
function wind_field_budget.by_bin(bins, beams, los, speed, o, taken, p)
  local list = {}
  for i = 1, #bins do
    local mean, all, parts = {}, bins.complete[i], nil
    for k in ipairs(beams) do
      mean[k] = los[k][i]
      all = all and mean[k] ~= missing
    end
    if all and o.frame == "earth" then parts = all_round(beams, speed[i], o, taken, p) end
    if all and o.frame ~= "earth" then parts = of_one(beams, mean, o, taken, p) end
    for n, part in ipairs(parts or {}) do
      list[n] = list[n] or { name = part.name, source = part.source, speed = {}, direction = {} }
      list[n].speed[i], list[n].direction[i] = part.speed, part.direction
    end
  end
  for _, part in ipairs(list) do
    for i = 1, #bins do
      part.speed[i], part.direction[i] = part.speed[i] or missing, part.direction[i] or missing
    end
  end
  return list
end

--- Adds the parts to a budget: `what` is "speed" or "direction", in `unit`.
function wind_field_budget.add(b, parts, what, unit)
  for _, part in ipairs(parts) do
    b:add(part.name, column.new(part[what], unit), { kind = "B", group = part.name, source = part.source })
  end
end

return wind_field_budget
