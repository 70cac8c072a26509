-- Do the beams point where the unit says, does its inclinometer read right, is its range right?
-- IEC 61400-50-3:2022, clauses 7.2 (beam geometry), 7.3 (inclinometer), 7.4 (range): titles seen,
-- text not; the procedure is that of the public DTU reports, recalled. Sheets in `tables`, each of
-- which may be absent (then it is said, and its requirements are not tested):
--
--   spots         beam, x, y, z       m from the lens, level axes: x forward, y left, z up
--                 tilt, roll          degree, the unit's attitude then; optional, level without
--   inclinometer  axis                "tilt" or "roll"
--                 physical, indicated degree
--   hard_target   beam, distance, range   m: true, and as the unit reports it

local geometry = require "practice.beam_geometry"
local sheets   = require "practice.sheets"

local RECALLED = "public DTU method"

local check = {
  title    = "Beam geometry, inclinometer and range against what is nominal",
  does     = "Compares the beams' directions from measured spots with the nominal ones, names a "
          .. "beam that is off, fits the line of the inclinometer, and compares the range of a "
          .. "hard target with its distance. Needs bench sheets (tables) instead of records.",
  practice = "IEC 61400-50-3:2022 clauses 7.2 to 7.4 (recalled), by the public DTU method",
  needs    = {},
  parameters = {
    spot_u   = { 0.01, "m", "standard uncertainty of a spot's position, in each direction",
                 tolerance = "50 %", source = "common practice, no source", evidence = "recalled" },
    angle_u  = { 0.02, "degree", "standard uncertainty of the physical angle beside the "
                 .. "inclinometer", tolerance = "50 %", source = "common practice, no source",
                 evidence = "recalled" },
    distance_u = { 0.1, "m", "standard uncertainty of the distance of the hard target",
                 tolerance = "50 %", source = "common practice, no source", evidence = "recalled" },
    noticed  = { 0.2, "degree", "angle from its nominal direction from which a beam is named",
                 source = RECALLED, evidence = "recalled" },
  },
}

-- ---- spots -----------------------------------------------------------------------------------

-- The vectors of one beam, in the unit's axes, and the nearest spot's distance.
local function spots_of(sheet, beam)
  local tilt, roll = sheets.column(sheet, "tilt"), sheets.column(sheet, "roll")
  local list, nearest = {}, math.huge
  for i = 1, #sheet.beam do
    if sheet.beam[i] == beam then
      local n = { sheet.x[i], sheet.y[i], sheet.z[i] }
      for k = 1, 3 do
        if n[k] == missing then error("a spot of beam " .. beam .. " is not complete") end
      end
      nearest = math.min(nearest, math.sqrt(n[1] * n[1] + n[2] * n[2] + n[3] * n[3]))
      list[#list + 1] = geometry.in_unit(n, tilt and tilt[i] or 0, roll and roll[i] or 0)
    end
  end
  return list, nearest
end

local function measure(campaign, sheet, p)
  local beams = {}
  for _, number in ipairs(sheets.distinct(sheet.beam)) do
    local nominal = campaign.lidar.beams and campaign.lidar.beams[number]
    if not nominal then
      error(string.format("the spots name beam %g, which lidar.beams does not have", number))
    end
    local list, nearest = spots_of(sheet, number)
    local mean, far = geometry.mean(list)
    local wanted = geometry.vector(nominal.azimuth, nominal.elevation)
    beams[#beams + 1] = {
      number = number, n = #list, mean = mean, wanted = wanted, far = far,
      off = geometry.between(mean, wanted),
      -- every spot has its own error; nothing more is gained by many spots at one distance
      u = angle.atan2(p.spot_u, nearest),
    }
  end
  return beams
end

local function each(beams, f)
  local list = {}
  for i, b in ipairs(beams) do list[i] = f(b) end
  return list
end

local function report_beams(report, beams)
  report:table("beams", { columns = {
    { name = "beam", unit = "1", values = each(beams, function(b) return b.number end) },
    { name = "spots", unit = "1", values = each(beams, function(b) return b.n end) },
    { name = "azimuth", unit = "degree",
      values = each(beams, function(b) return geometry.azimuth(b.mean) end) },
    { name = "nominal azimuth", unit = "degree",
      values = each(beams, function(b) return geometry.azimuth(b.wanted) end) },
    { name = "elevation", unit = "degree",
      values = each(beams, function(b) return geometry.elevation(b.mean) end) },
    { name = "nominal elevation", unit = "degree",
      values = each(beams, function(b) return geometry.elevation(b.wanted) end) },
    { name = "off nominal", unit = "degree", values = each(beams, function(b) return b.off end) },
    { name = "u (k = 1)", unit = "degree", values = each(beams, function(b) return b.u end) },
    { name = "farthest spot", unit = "degree",
      values = each(beams, function(b) return b.far end) },
  } })
end

-- Opening angles of all pairs; the largest difference from the nominal one, and its u.
local function opening(report, beams)
  local name, found, nominal, difference, worst, worst_u = {}, {}, {}, {}, nil, nil
  for i = 1, #beams do
    for k = i + 1, #beams do
      local a, b, at = beams[i], beams[k], #name + 1
      name[at] = string.format("%g, %g", a.number, b.number)
      found[at] = geometry.between(a.mean, b.mean)
      nominal[at] = geometry.between(a.wanted, b.wanted)
      difference[at] = found[at] - nominal[at]
      if not worst or math.abs(difference[at]) > math.abs(worst) then
        worst, worst_u = difference[at], math.sqrt(a.u * a.u + b.u * b.u)
      end
    end
  end
  if not worst then return end
  report:table("opening angles", { columns = {
    { name = "beams", values = name },
    { name = "opening angle", unit = "degree", values = found },
    { name = "nominal", unit = "degree", values = nominal },
    { name = "difference", unit = "degree", values = difference },
  } })
  report:require("opening_angle_difference", math.abs(worst),
    { unit = "degree", u = worst_u, source = "position of the spots" })
end

local function spots(campaign, sheet, p, report)
  local beams = measure(campaign, sheet, p)
  report_beams(report, beams)
  local worst = beams[1]
  for _, b in ipairs(beams) do
    if b.off > worst.off then worst = b end
    if b.off >= p.noticed then
      report:note(string.format("beam %g points %.2f degree from its nominal direction "
        .. "(azimuth %+.2f, elevation %+.2f)", b.number, b.off,
        circular.difference(geometry.azimuth(b.mean), geometry.azimuth(b.wanted)),
        geometry.elevation(b.mean) - geometry.elevation(b.wanted)))
    end
  end
  report:value("largest angle from nominal", worst.off,
    { unit = "degree", u = worst.u, text = string.format("beam %g", worst.number) })
  report:require("pointing_error", worst.off,
    { unit = "degree", u = worst.u, source = "position of the spots" })
  opening(report, beams)
end

-- ---- inclinometer ----------------------------------------------------------------------------

-- physical = gain indicated + offset
local function inclinometer(sheet, p, report)
  for _, axis in ipairs{ "tilt", "roll" } do
    local rows = sheet.axis:equals(axis)
    if rows:count() > 0 then
      local x, y = sheet.indicated:where(rows), sheet.physical:where(rows)
      local f = fit.line(x, y)
      local rest = (y - (x * f.slope + f.intercept)):abs():max()
      local offset_u = math.sqrt(f.intercept_u ^ 2 + p.angle_u ^ 2)
      report:value(axis .. " inclinometer, gain", f.slope, { unit = "1", u = f.slope_u })
      report:value(axis .. " inclinometer, offset", f.intercept,
        { unit = "degree", u = offset_u })
      report:value(axis .. " inclinometer, largest residual", rest, { unit = "degree" })
      report:figure(axis .. " inclinometer", {
        title = "Physical against indicated " .. axis,
        x = { label = "indicated", unit = "degree" }, y = { label = "physical", unit = "degree" },
        series = { { kind = "points", label = "positions", x = x, y = y },
                   { kind = "line", label = "fit", x = { x:min(), x:max() },
                     y = { f.slope * x:min() + f.intercept, f.slope * x:max() + f.intercept } } },
      })
      report:require(axis .. "_offset", math.abs(f.intercept),
        { unit = "degree", u = offset_u, source = "fit and the physical angle" })
      report:require(axis .. "_gain", f.slope,
        { unit = "1", u = math.sqrt(f.slope_u ^ 2 + (p.angle_u / (x:max() - x:min())) ^ 2),
          source = "fit and the physical angle over the span" })
    end
  end
end

-- ---- range -----------------------------------------------------------------------------------

local function hard_target(sheet, p, report)
  local off = sheet.range - sheet.distance
  report:table("range", { columns = {
    { name = "beam", unit = "1", values = sheet.beam },
    { name = "distance", unit = "m", values = sheet.distance },
    { name = "reported range", unit = "m", values = sheet.range },
    { name = "difference", unit = "m", values = off },
  } })
  report:value("range, mean difference", off:mean(), { unit = "m", u = p.distance_u })
  report:require("range_error", off:abs():max(),
    { unit = "m", u = p.distance_u, source = "distance of the hard target" })
end

function check.run(campaign, p, report)
  local found = false
  local function use(name, f)
    local sheet = sheets.find(campaign, name)
    if sheet then
      found = true
      f(sheet)
    else
      report:note("the campaign has no sheet '" .. name .. "': not tested")
    end
  end
  use("spots", function(sheet) spots(campaign, sheet, p, report) end)
  use("inclinometer", function(sheet) inclinometer(sheet, p, report) end)
  use("hard_target", function(sheet) hard_target(sheet, p, report) end)
  if not found then
    undefined("the campaign has no sheet: tables = { spots =, inclinometer =, hard_target = }")
  end
end

return check
