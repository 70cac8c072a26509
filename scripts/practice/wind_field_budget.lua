-- What the uncertainties of line-of-sight speeds and of geometry make of the reconstructed speed and
-- direction, by bin. After IEC 61400-50-3 (7.6 and annex A, recalled, check your copy): the part of
-- the line-of-sight speeds that all beams share, because one reference calibrated them, is fully
-- correlated (for the speed it counts whole, in the direction it cancels), each beam's own is
-- independent: G U G' of `reconstruct.wind`. Angles by numeric sensitivities
-- (practice/wind_field.lua).
--
-- A nacelle unit sees the wind from one side: the bin's mean line-of-sight speeds stand for it. A
-- profiler sees it from all sides, where such means cancel: a level wind of the bin's mean speed is
-- turned through twelve directions, and the root of the mean square is taken (own).

local wind_field = require "practice.wind_field"

local wind_field_budget = {}

local ORDER = { "shared", "own", "opening", "tilt" }
local TEXT = { shared = "line-of-sight speeds, shared by the beams",
               own = "line-of-sight speeds, each beam's own",
               opening = "opening angle", tilt = "tilt" }
local DIRECTIONS = 12

-- Parts of the uncertainty of one wind: by name { speed, direction }. `los` are its line-of-sight
-- speeds, `o` what `reconstruct.wind` takes, `p` the parameters u_shared, u_own, u_opening, u_tilt.
local function of_one(beams, los, o, p)
  local own, shared = {}, {}
  for k, x in ipairs(los) do
    own[k], shared[k] = math.abs(x) * p.u_own / 100, x * p.u_shared / 100
  end
  local function with(u, common)
    return reconstruct.wind(beams, los, { frame = o.frame, model = o.model, height = o.height,
      tilt = o.tilt, roll = o.roll, u = u, u_common = common })
  end
  local a, c = with(own, nil), with(nil, shared)
  local s = wind_field.sensitivities(beams, los, { frame = o.frame, model = o.model,
    height = o.height, tilt = o.tilt, roll = o.roll })
  local function angles(what)
    local tilt = math.abs(s.tilt[what][1])
    if s.roll then tilt = math.sqrt(tilt * tilt + s.roll[what][1] ^ 2) end
    return math.abs(s.opening[what][1]) * p.u_opening, tilt * p.u_tilt
  end
  local opening_s, tilt_s = angles("speed")
  local opening_d, tilt_d = angles("direction")
  return { own = { a.speed_u[1], a.direction_u[1] }, shared = { c.speed_u[1], c.direction_u[1] },
           opening = { opening_s, opening_d }, tilt = { tilt_s, tilt_d } }
end

-- The root of the mean square of several, part by part.
local function rms(list)
  local out = {}
  for _, name in ipairs(ORDER) do
    local s, d = 0, 0
    for _, one in ipairs(list) do s, d = s + one[name][1] ^ 2, d + one[name][2] ^ 2 end
    out[name] = { math.sqrt(s / #list), math.sqrt(d / #list) }
  end
  return out
end

-- A wind of a speed from all sides, in axes of the unit that stands level.
local function all_round(beams, speed, o, p)
  local list, level = {}, { frame = o.frame, model = o.model }
  for i = 1, DIRECTIONS do
    local from, los = 360 / DIRECTIONS * (i - 0.5), {}
    for k, b in ipairs(beams) do
      los[k] = -speed * angle.cos(b.elevation) * angle.cos(from - b.azimuth)
    end
    list[i] = of_one(beams, los, level, p)
  end
  return rms(list)
end

--- Parts of the uncertainty in each complete bin: two tables of lists by name, of speed and of
--- direction. `los` are the bins' mean line-of-sight speeds, `speed` their mean speed, a column.
function wind_field_budget.by_bin(bins, beams, los, speed, o, p)
  local of_speed, of_direction = {}, {}
  for _, name in ipairs(ORDER) do of_speed[name], of_direction[name] = {}, {} end
  for i = 1, #bins do
    local mean, all, parts = {}, bins.complete[i], nil
    for k in ipairs(beams) do
      mean[k] = los[k][i]
      all = all and mean[k] ~= missing
    end
    if all and o.frame == "earth" then parts = all_round(beams, speed[i], o, p) end
    if all and o.frame ~= "earth" then parts = of_one(beams, mean, o, p) end
    for _, name in ipairs(ORDER) do
      of_speed[name][i] = parts and parts[name][1] or missing
      of_direction[name][i] = parts and parts[name][2] or missing
    end
  end
  return of_speed, of_direction
end

--- Adds the parts, in `unit`, to a budget.
function wind_field_budget.add(b, parts, unit, p)
  for _, name in ipairs(ORDER) do
    local u = p["u_" .. name]
    b:add(TEXT[name], column.new(parts[name], unit), { kind = "B", group = TEXT[name],
      source = string.format("parameter u_%s, %g %s", name, u,
        (name == "opening" or name == "tilt") and "degree" or "%") })
  end
end

return wind_field_budget
