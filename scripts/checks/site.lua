-- The site on paper: where the beam is at its range against the cup, how far apart unit and mast
-- stand, which booms and north references the campaign states. No data are read.
--
--   height of a beam at range = lens height + range * sin(physical tilt of the beam)
--
-- (IEC 61400-50-3, 7.2 and 7.5, recalled.) Near 9 m a height error of 0.1 m is 0.22 % of the speed
-- at a shear exponent of 0.2: alpha * dz / z.

local channels = require "practice.channels"
local sectors  = require "practice.sectors"

local check = {
  title    = "Site: heights, distances, booms, north references",
  does     = "Checks what the campaign states of the place: height of each beam at its range "
          .. "against the cup, distances, disturbers, booms, north references. Reads no data.",
  practice = "IEC 61400-50-3, 7.2 and 7.5 (recalled); IEC 61400-12-1 Annex A for distances (recalled)",
  needs    = { "reference.wind_speed" },
  parameters = {
    shear = { 0.2, "1", "shear exponent that turns a height difference into one of speed", tolerance = 0.1,
              source = "default of 0.2, common practice, no source", evidence = "recalled" },
  },
}

-- A quantity of the campaign file: value and its standard uncertainty, which may be absent.
local function number(q)
  if type(q) == "number" then return q, nil end
  if q == nil then return nil, nil end
  return q[1], q.u
end

local function bearing(from, to)
  local east, north = to.east - from.east, to.north - from.north
  return math.sqrt(east * east + north * north), angle.atan2(east, north) % 360
end

-- ---- beams at their ranges -----------------------------------------------------------------------

-- Height of a beam: as stated for the phase, else from lens, range and tilt.
local function beam_height(phase, lens, lens_u)
  local z, z_u = number(phase.beam_height)
  if z then return z, z_u end
  local tilt, tilt_u = number(phase.beam_tilt)
  if not (tilt and phase.range and lens) then return nil end
  z = lens + phase.range * angle.sin(tilt)
  if not (lens_u and tilt_u) then return z, nil end
  local by_tilt = phase.range * angle.cos(tilt) * tilt_u * math.pi / 180
  return z, math.sqrt(lens_u ^ 2 + by_tilt ^ 2)
end

local function beams(campaign, p, report, cup)
  local position = campaign.lidar.position or {}
  local lens, lens_u = number(position.lens_height)
  local t = { {}, {}, {}, {}, {}, {}, {} }
  local worst, worst_u
  for _, phase in ipairs(campaign.phases) do
    local z, u = beam_height(phase, lens, lens_u)
    if z then
      local n, off = #t[1] + 1, z - cup.height
      local row = { phase.name, phase.beam or missing, phase.range or missing, z, u or missing, off,
                    100 * p.shear * off / cup.height }
      for k = 1, #row do t[k][n] = row[k] end
      if not worst or math.abs(off) > worst then worst, worst_u = math.abs(off), u end
    else
      report:note("phase '" .. phase.name .. "': no beam height, and no lens height, range and tilt "
        .. "to compute it from")
    end
  end
  if #t[1] == 0 then return end
  report:table("beams at their ranges", { columns = {
    { name = "phase", values = t[1] }, { name = "beam", unit = "1", values = t[2] },
    { name = "range", unit = "m", values = t[3] }, { name = "beam height", unit = "m", values = t[4] },
    { name = "u of it", unit = "m", values = t[5] },
    { name = "above the cup", unit = "m", values = t[6] },
    { name = "effect on speed", unit = "%", values = t[7] },
  } })
  report:require("height_difference", worst, worst_u
    and { unit = "m", u = worst_u, source = "lens height and tilt as the campaign states them" }
    or { unit = "m", scatter_only = "the campaign states no uncertainty of lens height or tilt" })
end

-- Compared heights of horizontal wind speeds.
local function heights(r, report, cup)
  local name, z, off = {}, {}, {}
  for _, c in ipairs(r.unit:all{ quantity = "wind_speed" }) do
    if c.height then
      local nearest
      for _, m in ipairs(r.reference:all{ quantity = "wind_speed" }) do
        if m.height and (not nearest or math.abs(m.height - c.height) < math.abs(nearest - c.height)) then
          nearest = m.height
        end
      end
      local n = #name + 1
      name[n], z[n], off[n] = tostring(c), c.height, c.height - (nearest or cup.height)
    end
  end
  if #name == 0 then return end
  report:table("heights of the unit", { columns = {
    { name = "channel", values = name }, { name = "height", unit = "m", values = z },
    { name = "above the nearest anemometer", unit = "m", values = off },
  } })
end

-- ---- distances, booms, north ---------------------------------------------------------------------

local function places(campaign, report)
  local unit, mast = campaign.lidar.position, nil
  for _, s in ipairs(campaign.sources) do
    if s.role == "reference" and s.position then mast = s.position end
  end
  if not (unit and unit.east and mast) then
    report:note("the campaign does not give the positions of unit and reference: no distance")
    return
  end
  local distance, towards = bearing(unit, mast)
  report:value("distance from unit to reference", distance, { unit = "m" })
  report:value("direction from unit to reference", towards, { unit = "degree" })
  for _, d in ipairs(campaign.disturbed or {}) do
    if d.position and d.rotor_diameter then
      for where, from in pairs{ unit = unit, reference = mast } do
        local far = bearing(from, d.position) / d.rotor_diameter
        if far < 2 then
          report:note(string.format("%s: %.1f rotor diameters from the %s; below 2 a site is not "
            .. "allowed (IEC 61400-12-1 Annex A, recalled)", d.reason, far, where))
        elseif far > 20 then
          report:note(string.format("%s: %.1f rotor diameters from the %s; beyond 20 it need not be "
            .. "considered (IEC 61400-12-1 Annex A, recalled)", d.reason, far, where))
        end
      end
    end
  end
end

local function text_of(x)
  if x == nil then return missing end
  if type(x) ~= "table" then return tostring(x) end
  local parts = {}
  for key, value in pairs(x) do
    parts[#parts + 1] = (type(key) == "string" and key .. " " or "") .. tostring(text_of(value))
  end
  return table.concat(parts, " ")
end

local function booms(campaign, report)
  local t = { {}, {}, {}, {}, {} }
  for place, i in pairs(campaign.instruments or {}) do
    local n = #t[1] + 1
    local row = { place, text_of(i.class), text_of(i.height), text_of(i.boom), text_of(i.mounting) }
    for k = 1, #row do t[k][n] = row[k] end
  end
  if #t[1] == 0 then return end
  report:table("instruments", { columns = {
    { name = "place", values = t[1] }, { name = "class", values = t[2] },
    { name = "height", values = t[3] }, { name = "boom", values = t[4] },
    { name = "mounting", values = t[5] },
  } })
end

local function north(campaign, report)
  local t, kinds = { {}, {}, {}, {} }, {}
  for _, s in ipairs(campaign.sources) do
    for name, c in pairs(s.channels or {}) do
      local quantity = c.quantity or name
      if quantity:find("_direction$") then
        local n, o = #t[1] + 1, c.north or {}
        local row = { s.name .. "." .. name, o.offset or missing, o.u or missing, o.kind or missing }
        for k = 1, #row do t[k][n] = row[k] end
        if s.role ~= "none" then kinds[o.kind or "none"] = true end
      end
    end
  end
  if #t[1] == 0 then return end
  report:table("north references", { columns = {
    { name = "channel", values = t[1] }, { name = "offset added", unit = "degree", values = t[2] },
    { name = "u of it", unit = "degree", values = t[3] }, { name = "kind", values = t[4] },
  } })
  if kinds.none then
    report:note("a direction states no north reference: its offset is not traceable")
  end
  if (kinds["true"] and 1 or 0) + (kinds.magnetic and 1 or 0) + (kinds.grid and 1 or 0) > 1 then
    report:note("directions are compared that refer to different norths")
  end
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local cup = channels.main(r.reference, "wind_speed")
  if cup.height then
    report:value("height of the reference anemometer", cup.height, { unit = "m" })
    beams(campaign, p, report, cup)
    heights(r, report, cup)
  else
    report:note("the campaign does not give the height of the reference anemometer")
  end
  places(campaign, report)
  booms(campaign, report)
  north(campaign, report)
  if #sectors.list(campaign) == 0 then report:note("the campaign names no disturbed sector") end
end

return check
