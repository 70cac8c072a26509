-- Disturbed wind-direction sectors.
-- IEC 61400-12-1 Annex A (since 2022 in IEC 61400-12-5): sectors in which a turbine or an
-- obstacle disturbs the flow are left out, for the mast and for the unit. Formula recalled,
-- check your copy of the standard:
--
--   full width = 1.3 * atan(2.5 * D / L + 0.15) + 10        [degrees]
--
-- centred on the bearing, from every instrument's position; turbines farther than 20 D are not
-- considered. D rotor diameter, L distance; for an obstacle the equivalent diameter of its height lh and
-- width lw takes the place of D:  De = 2 * lh * lw / (lh + lw).

local sectors = {}

--- Full width in degrees of the sector disturbed by a rotor (or equivalent) of diameter D at L.
function sectors.width(diameter, distance)
  return 1.3 * angle.atan2(2.5 * diameter / distance + 0.15, 1) + 10
end

--- Equivalent rotor diameter of an obstacle.
function sectors.equivalent_diameter(height, width)
  return 2 * height * width / (height + width)
end

local function diameter_of(d)
  if d.rotor_diameter then return d.rotor_diameter end
  if d.height and d.width then return sectors.equivalent_diameter(d.height, d.width) end
  error("a disturbed entry needs from and to, or a position with rotor_diameter, "
    .. "or a position with height and width")
end

-- The sector of one disturber seen from one position; nil for a turbine too far to matter.
local function seen_from(position, d)
  local east, north = d.position.east - position.east, d.position.north - position.north
  local distance = math.sqrt(east * east + north * north)
  local bearing = angle.atan2(east, north) % 360
  if d.rotor_diameter and distance > sectors.FARTHEST * d.rotor_diameter then return nil end
  local half = sectors.width(diameter_of(d), distance) / 2
  return { from = (bearing - half) % 360, to = (bearing + half) % 360,
           reason = d.reason or "disturbed sector" }
end

--- Rotor diameters beyond which an operating turbine is not considered (recalled).
sectors.FARTHEST = 20

-- Where instruments stand: the sources with a position, and the unit where only the campaign's
-- `lidar` gives one.
local function positions(campaign)
  local list, unit_is_there = {}, false
  for _, source in ipairs(campaign.sources) do
    if source.position then
      list[#list + 1] = source.position
      unit_is_there = unit_is_there or source.role == "unit"
    end
  end
  local unit = campaign.lidar and campaign.lidar.position
  if not unit_is_there and unit and unit.east and unit.north then list[#list + 1] = unit end
  return list
end

--- Every disturbed sector of a campaign, as a list of { from, to, reason } in degrees: those
--- given as they are, and those computed for every position of an instrument, mast's and unit's.
function sectors.list(campaign)
  local list, from = {}, positions(campaign)
  for _, d in ipairs(campaign.disturbed or {}) do
    if d.from and d.to then
      list[#list + 1] = { from = d.from, to = d.to, reason = d.reason or "disturbed sector" }
    elseif #from == 0 then
      error("the disturbed sector of '" .. (d.reason or "?")
        .. "' needs the position of a source")
    else
      for _, position in ipairs(from) do
        list[#list + 1] = seen_from(position, d)
      end
    end
  end
  return list
end

--- A sector widened by `margin` degrees on both sides (narrowed where that is below 0). Gives
--- from, to; nothing where none is left; 0, 360 where nothing is outside.
function sectors.widened(from, to, margin)
  local width = (to - from) % 360
  if width == 0 then return 0, 360 end -- the whole circle
  width = width + 2 * margin
  if width <= 0 then return nil end
  if width >= 360 then return 0, 360 end
  return (from - margin) % 360, (to + margin) % 360
end

--- Mask of the intervals in which the direction lies in any disturbed sector, each widened by
--- `margin` degrees (0) on both sides; nil with none.
function sectors.disturbed(campaign, direction, margin)
  local mask
  for _, s in ipairs(sectors.list(campaign)) do
    local from, to = s.from, s.to
    if margin and margin ~= 0 then from, to = sectors.widened(from, to, margin) end
    if from then
      local hit = direction:in_sector(from, to)
      mask = mask and (mask | hit) or hit
    end
  end
  return mask
end

return sectors
