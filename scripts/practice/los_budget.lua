-- The uncertainty budget of a line-of-sight speed, per bin.
-- IEC 61400-50-3:2022, Table 1 "Summary of calibration uncertainty components" as corrected by
-- COR1:2023: 13 rows, of which 12 names were legible; the thirteenth is not guessed, and no row
-- stands for it. Formulas and default values are recalled, check your copy.
--
-- Model: V_ref = V cos phi cos off, off = theta - theta_LOS (practice/line_of_sight.lua), so with
-- c = V_ref / V for a bin and u in radians
--
--   u_cal u_ope u_mast u_lgt u_daq   of the cup at V, times c          (one cup for all beams)
--   u_probe      flow within the probe length, a share of V_ref
--   u_vert_pos   shear * V_ref * u(height) / height of the cup
--   u_dir        V cos phi |sin off| u(vane), the rms over the records of the bin
--   u_theta_los  the same with u of the line-of-sight direction
--   u_phi        V sin phi cos off u(tilt)
--   u_inc        V tan(chi) sin phi / sqrt(3), chi half width of the flow's inclination
--   u_stat       s / sqrt(N), s of v - gain V_ref in the bin; type A; over the gain
--
-- s / sqrt(N) is what Table 1 says (seen). It takes the N records for independent, which records of ten
-- minutes are not; with `dependence` = n / n_eff of the residuals (practice/dependent.lua) it is s
-- sqrt(dependence / N), of N / dependence - 1 degrees of freedom (own; the number by common practice). In a
-- bin, whose records seldom follow each other, that is too much; in the gain, which hangs on all of them, it
-- is right.
--
-- All but the last are of type B and the same cup, vane and geometry in every bin: fully
-- correlated over bins. The gain's own standard error is the same scatter as u_stat and is not
-- added again. u_dir and u_theta_los enter by size, although an error of direction acts with
-- opposite signs on both sides of the beam: the larger figure is taken.

-- A lidar as the reference has no class of a cup: its own acceptance stands in u_cal, its accuracy
-- class in u_ope.

local reference = require "practice.reference"

local los_budget = {}

local RADIAN = math.pi / 180

-- Missing where the bin is incomplete and its scatter missing; 1 at least.
local function freedom(scatter, count, fewer)
  local dof = {}
  for i = 1, #count do
    dof[i] = scatter[i] == missing and missing or math.max(1, count[i] / fewer - 1)
  end
  return column.new(dof)
end

--- o: bins; speed, off, projected, measured (columns of the records that they were made from),
--- gain; cup (rows, see cup); tilt, tilt_u, direction_u, vane_u, inclination (degrees); height of
--- the cup, height_u (m), shear; probe_u (%); dependence (nil: 1); tilt_source, height_source, vane_source;
--- place names the beam in the groups of what belongs to it alone.
--- Gives a budget over the bins in m/s.
function los_budget.by_bin(o)
  local b = budget.new(o.bins, { unit = "m/s" })
  local V, x = o.bins:mean(o.speed), o.bins:mean(o.projected)
  b:include(o.cup, { sensitivity = x / V })
  b:add("u_probe", x * (o.probe_u / 100), { group = "flow in the probe length",
    source = "flat site" })
  b:add("u_vert_pos", x * (o.shear * o.height_u / o.height), { group = "height of " .. o.place,
    source = o.height_source })
  local across = o.bins:rms(o.speed * angle.sin(o.off)) * (angle.cos(o.tilt) * RADIAN)
  b:add("u_dir", across * o.vane_u, { group = "vane", source = o.vane_source })
  b:add("u_theta_los", across * o.direction_u, { group = "direction of " .. o.place,
    source = "scan of residuals" })
  local along = o.bins:mean(o.speed * angle.cos(o.off))
  b:add("u_phi", along * (math.abs(angle.sin(o.tilt)) * RADIAN * o.tilt_u),
    { group = "tilt of " .. o.place, source = o.tilt_source })
  b:add("u_inc", V * (angle.tan(o.inclination) * math.abs(angle.sin(o.tilt))),
    { shape = "rectangular", group = "inclination of the flow", source = "flat site" })
  local scatter = o.bins:standard_error(o.measured - o.projected * o.gain)
  local fewer = o.dependence or 1
  b:add("u_stat", scatter * (math.sqrt(fewer) / o.gain), { kind = "A", dof = freedom(scatter, o.bins.count, fewer),
    source = fewer == 1 and "scatter of the records"
      or string.format("scatter of the records, of which %.3g count as one", fewer) })
  return b
end

--- The relative standard uncertainty of the gain that is forced through the bin means: each bin's
--- v / V_ref counts with the weight V_ref^2.
function los_budget.of_gain(b, projected)
  return b:overall{ weights = projected * projected, relative_to = projected }
end


-- Table 1's rows for what practice.instruments states of a cup.
local ROWS = { calibration = "u_cal", recalibration = "u_cal", class = "u_ope",
               mounting = "u_mast", finial = "u_lgt", acceptance = "u_cal", ["data acquisition"] = "u_daq" }
local ORDER = { "u_cal", "u_ope", "u_mast", "u_lgt", "u_daq" }

--- The cup's rows at its mean speed in each bin. `default` gives u in percent of the speed for
--- u_lgt and u_daq where the campaign states none. Undefined where calibration, class or mounting
--- is not stated: such a budget would not be whole. `records` = { bins =, time = } tells which of several
--- instruments measured what. A difference between two certificates goes
--- into u_cal.
function los_budget.cup(campaign, cup, V, default, records)
  local parts = reference.components(campaign, cup, V, records)
  if not parts then undefined("the budget needs the cup's instrument: its certificate, class, mounting") end
  local rows = {}
  for _, part in ipairs(parts) do
    local name = ROWS[part.effect] or error("no row of the budget for '" .. part.effect .. "'")
    local row = rows[name]
    if row then
      row.u, row.source = (row.u * row.u + part.u * part.u):sqrt(), row.source .. "; " .. part.source
    else
      rows[name] = { name = name, u = part.u, kind = part.kind, group = part.group,
                     source = part.source }
    end
  end
  local list = {}
  for i, name in ipairs(ORDER) do
    local row = rows[name]
    if not row and default[name] then
      row = { name = name, u = V * (default[name] / 100), group = cup.instrument .. " " .. name,
              source = "parameter of the check" }
    end
    if not row then
      undefined(string.format("the budget is not whole: the campaign states nothing for %s of '%s'",
        name, cup.instrument))
    end
    list[i] = row
  end
  return list
end

--- u of the vane over the sector, degrees, and where it comes from: what its instrument states of
--- its linearity, else `default`. Its constant offset cancels and is not counted.
function los_budget.vane(campaign, vane, default)
  local place = reference.instrument(campaign, vane)
  local parts = place and reference.components(campaign, vane, column.new({ 0 }, "degree"),
    { time = place.fitted[1].starts }) or {} -- linearity is the place's, whichever vane was there
  for _, part in ipairs(parts) do
    if part.effect == "linearity" then return part.u[1], part.source end
  end
  return default, "parameter of the check"
end

return los_budget
