-- Calibration of the line-of-sight speed of one beam at one range, against a cup and a vane.
-- IEC 61400-50-3:2022, clause 7.5 and Table 1 as corrected by COR1:2023 (clause titles and the
-- names of 12 of its 13 rows seen; numbers recalled, check your copy), by the public method of
-- DTU Wind Energy. Formulas: practice/line_of_sight.lua, budget: practice/los_budget.lua.
-- Runs once a phase: the beam that passes the cup, its range and its tilt are the phase's.

local both_axes    = require "practice.both_axes"
local calibration  = require "practice.calibration"
local channels     = require "practice.channels"
local completeness = require "practice.completeness"
local dependent    = require "practice.dependent"
local drift        = require "practice.drift"
local exclusions   = require "practice.exclusions"
local figures      = require "practice.los_figures"
local los          = require "practice.line_of_sight"
local los_budget   = require "practice.los_budget"
local reference    = require "practice.reference"
local stated       = require "practice.stated"

local COMMON = "common practice, no source"
local DTU = "public DTU method"

local check = {
  title    = "Line-of-sight speed of one beam against cup and vane, by bin",
  does     = "Calibrates one beam at one range, once a phase: finds its direction by a cosine fit "
          .. "and a scan of residuals, projects the reference on it, fits the gain on records and "
          .. "on bin means, and gives the uncertainty of each bin and of the gain.",
  practice = "IEC 61400-50-3:2022 clause 7.5 and Table 1 (numbers recalled), by the public DTU "
          .. "method; limits from the criteria",
  needs    = { "unit.los_speed", "reference.wind_speed", "reference.wind_from_direction" },
  parameters = exclusions.parameters({
    lowest   = { 4, "m/s", "lowest horizontal reference speed", tolerance = 0.5, source = DTU,
                 evidence = "recalled" },
    highest  = { 16, "m/s", "highest horizontal reference speed", tolerance = 1, source = DTU,
                 evidence = "recalled" },
    half_sector = { 40, "degree", "largest angle between wind and beam", tolerance = 10, source = DTU,
                 evidence = "recalled" },
    half_width = { 1, "degree", "half width of the scan of directions", tolerance = 0.5, source = DTU,
                 evidence = "recalled" },
    step     = { 0.1, "degree", "step of the scan", source = DTU, evidence = "recalled" },
    width    = { 0.5, "m/s", "width of a bin of the projected reference speed, centred on "
                 .. "multiples of itself", source = "IEC 61400-50-3", evidence = "recalled" },
    lowest_bin = { 4, "m/s", "centre of the lowest bin", source = DTU, evidence = "recalled" },
    highest_bin = { 12, "m/s", "centre of the highest bin", source = DTU,
                 evidence = "recalled" },
    at_least = { 3, "records", "records that a bin needs", source = "IEC 61400-50-3",
                 evidence = "recalled" },
    hours    = { 0, "h", "hours of compared records that are needed beside filled bins",
                 source = "for the campaign to say" },
    status   = { {}, "1", "names of the unit's status bits that make an interval unusable",
                 source = "for the campaign to say" },
    status_share = { 0, "%", "share of an interval's samples with such a bit that is tolerated",
                     source = "for the campaign to say" },
    window   = drift.WINDOW,
    tilt_within = { 0, "degree", "largest departure of the unit's tilt from its median over the "
                 .. "phase; 0: not judged", source = "for the campaign to say" },
    shear    = { 0.2, "1", "shear exponent that turns a height difference into a speed", tolerance = 0.1,
                 source = DTU, evidence = "recalled" },
    height_u = { 0.1, "m", "standard uncertainty of the beam's height at the cup, where the "
                 .. "phase's beam_height states none", tolerance = "50 %", source = DTU, evidence = "recalled" },
    tilt_u   = { 0.05, "degree", "standard uncertainty of the beam's tilt, where the phase's "
                 .. "beam_tilt states none", tolerance = "50 %", source = DTU, evidence = "recalled" },
    vane_u   = { 0.4, "degree", "standard uncertainty of the vane over the sector; a constant "
                 .. "offset cancels", tolerance = "50 %", source = DTU, evidence = "recalled" },
    direction_u = { 0.1, "degree", "least standard uncertainty of the line-of-sight direction; "
                 .. "that of the scan where it is larger", tolerance = "50 %", source = DTU, evidence = "recalled" },
    probe_u  = { 0, "%", "standard uncertainty for the change of flow within the probe length, "
                 .. "of the speed; flat sites", tolerance = "50 %", source = COMMON, evidence = "recalled" },
    inclination = { 2, "degree", "half width of the flow's inclination that is not measured", tolerance = "50 %",
                 source = COMMON, evidence = "recalled" },
    finial_u = { 0.1, "%", "standard uncertainty for a lightning finial, of the speed", tolerance = "50 %",
                 source = "IEC 61400-12-1 Annex G", evidence = "recalled" },
    effective = { 0, "1", "1: u_stat is that of the effective number of records, which depend on their "
                 .. "neighbours; 0: of their number, s / sqrt(N)",
                 source = "IEC 61400-50-3 Table 1: s / sqrt(N)", evidence = "seen" },
    logger_u = { 0.1, "%", "standard uncertainty of the data acquisition, of the speed", tolerance = "50 %",
                 source = COMMON, evidence = "recalled" },
  }, exclusions.USUAL),
}

-- ---- what is compared ------------------------------------------------------------------------

local function place_of(phase)
  if not phase.name then
    error("los_speed runs once a phase: { \"los_speed\", each = \"phase\" }, and the campaign "
      .. "needs phases")
  end
  local tilt, tilt_u, tilt_source = stated.read(phase.beam_tilt, "degree")
  if not tilt then error("phase '" .. phase.name .. "' states no beam_tilt") end
  local height, height_u, height_source = stated.read(phase.beam_height, "m")
  return { tilt = tilt, tilt_u = tilt_u, tilt_source = tilt_source, height = height,
           height_u = height_u, height_source = height_source,
           beam = phase.beam, range = phase.range }
end

-- Intervals in which a named status is set in more than the tolerated share of samples. A channel
-- that belongs to no beam or range speaks for all.
local function flagged(role, place, p)
  local mask
  for _, name in ipairs(p.status) do
    local found = false
    for _, c in ipairs(role:all()) do
      local ours = (c.beam == nil or c.beam == place.beam)
        and (c.range == nil or c.range == place.range)
      if ours and c:gives("share") then
        local has, share = pcall(function() return c.share[name] end)
        if has then
          local hit = share:above(p.status_share / 100)
          mask, found = mask and (mask | hit) or hit, true
        end
      end
    end
    if not found then error("no channel of the unit has a status '" .. name .. "'") end
  end
  return mask
end

-- Intervals in which the unit stood otherwise than most of the phase.
local function moved(r, phase, p)
  local tilt = channels.main(r.unit, "tilt").mean
  local usual = tilt:where(r:during(phase)):median()
  return (tilt - { usual, "degree" }):abs():above(p.tilt_within, "degree")
end

-- In the order: phase, reference, unit, surroundings, range of speeds. None looks at the gain.
local function exclude(campaign, r, p, report, place, cup, vane, beam)
  r:exclude("outside the phase", ~r:during(campaign.phase))
  r:exclude("reference missing", cup.mean:missing() | vane.mean:missing())
  r:exclude("unit missing", beam.mean:missing())
  exclusions.availability(r, report, beam, p.availability)
  if reference.is_lidar(campaign, cup) then
    exclusions.reference_availability(r, report, cup, p.availability)
  end
  local bad = flagged(r.unit, place, p)
  if bad then r:exclude("unit status", bad, { unknown = "keep" }) end
  if p.tilt_within > 0 then
    r:exclude(string.format("tilt more than %g degrees from its median", p.tilt_within),
      moved(r, campaign.phase, p))
  end
  exclusions.instruments(r, report, p, { cup })
  exclusions.icing(r, report, p)
  exclusions.disturbed(campaign, r, report, p.sector_margin)
  r:exclude(string.format("reference outside %g to %g m/s", p.lowest, p.highest),
    cup.mean:below(p.lowest, "m/s") | cup.mean:above(p.highest, "m/s"))
end

-- ---- what is shown ---------------------------------------------------------------------------

local function fits(report, name, f)
  report:value("forced gain, " .. name, f.gain, { unit = "1", u = f.gain_u })
  report:value("free slope, " .. name, f.line.slope, { unit = "1", u = f.line.slope_u })
  report:value("free intercept, " .. name, f.line.intercept,
    { unit = "m s-1", u = f.line.intercept_u })
  report:value("r2 centred, " .. name, f.r2_centred, { unit = "1" })
  report:value("r2 Pearson, " .. name, f.r2_pearson, { unit = "1" })
end

local function by_bin(report, c)
  local by = c.comparison
  local corrected = los.corrected(by.measured_mean, c.gain)
  local columns = {}
  for i = 1, #by.columns do columns[i] = by.columns[i] end
  columns[#columns + 1] = { name = "corrected mean", unit = "m s-1", values = corrected }
  columns[#columns + 1] = { name = "residual", unit = "m s-1",
                            values = corrected - by.reference_mean }
  report:table("by bin", { columns = columns })
  return (corrected - by.reference_mean):abs():max()
end

-- ---- the check -------------------------------------------------------------------------------

-- How many records count as one; residuals without scatter depend on nothing.
local function dependence_of(report, residuals, compared)
  local known, factor = pcall(dependent.dependence, residuals)
  if not known then
    if factor.kind ~= "undefined" then error(factor, 0) end
    return 1
  end
  report:value("effective records", compared / factor, { unit = "1",
    text = "of those compared, by the autocorrelation of the residuals at lag 1" })
  return factor
end

-- For the unit's later campaigns: the gain, its bins and budget, and where it holds.
local function hand_on(campaign, p, report, data, c, b, gain_u)
  local valid = { calibration.covered("los_speed", c.bins, p.width, "m s-1"),
    { quantity = "angle between wind and beam", lowest = 0, highest = p.half_sector, unit = "degree" },
    { quantity = "wind_speed", lowest = p.lowest, highest = p.highest, unit = "m s-1" } }
  if data.temperature then valid[#valid + 1] = calibration.seen("air_temperature", data.temperature) end
  calibration.give(report, data.beam, { gain = c.gain, gain_u = gain_u, comparison = c.comparison,
    budget = b, from = campaign.phase.from, to = campaign.phase.to, valid = valid,
    text = "forced through the origin over the means of the complete bins" })
end

-- The budget over the bins, with the cup's own components at each bin's mean speed; its tables
-- and figure; the requirements, which need it.
local function judge(campaign, p, report, place, data, scan, c, residual)
  local by, cup = c.comparison, data.cup
  if not cup.height then error("the cup '" .. cup.name .. "' states no height") end
  local vane_u, vane_source = los_budget.vane(campaign, data.vane, p.vane_u)
  local dependence = dependence_of(report, data.v - c.projected * c.gain,
    #data.v - c.bins.outside:count())
  local b = los_budget.by_bin{
    place = campaign.phase.name, bins = c.bins, speed = data.speed,
    off = circular.difference(data.theta, scan.direction),
    projected = c.projected, measured = data.v, gain = c.gain,
    cup = los_budget.cup(campaign, cup, c.bins:mean(data.speed),
      { u_lgt = p.finial_u, u_daq = p.logger_u }, { bins = c.bins, time = data.time }),
    tilt = place.tilt, tilt_u = place.tilt_u or p.tilt_u, tilt_source = place.tilt_source,
    direction_u = math.max(p.direction_u, scan.direction_u),
    vane_u = vane_u, vane_source = vane_source,
    height = cup.height, height_u = place.height_u or p.height_u,
    height_source = place.height_source, shear = p.shear,
    probe_u = p.probe_u, inclination = p.inclination,
    dependence = p.effective ~= 0 and dependence or 1,
  }
  local expanded = b:expanded(2)
  local relative = expanded / by.reference_mean * { 100, "%" }
  local rows = b:table{ k = 2 }
  rows.columns[#rows.columns + 1] = { name = "relative", unit = "%", values = relative }
  report:table("budget by bin", rows)
  report:table("components of the budget", b:components())
  report:note("the budget has the 12 rows of IEC 61400-50-3 Table 1 whose names are known; "
    .. "a thirteenth is not added")
  figures.deviation(report, by, expanded)

  local relative_u = los_budget.of_gain(b, by.reference_mean)
  local gain_u = quantity.new{ u = c.gain * relative_u.u, dof = relative_u.dof, unit = "1",
    source = "budget of the bins, each with the weight of its V_ref squared" }
  report:value("gain", c.gain, { unit = "1", u = gain_u.u, text = "forced, bin means" })
  report:value("largest U (k = 2), relative", relative:max(), { unit = "%" })
  report:require("gain", c.gain, { u = gain_u, unit = "1" })
  report:require("expanded_uncertainty", relative:max(),
    { unit = "%", u = 0, source = "an uncertainty itself" })
  report:require("residual", residual,
    { unit = "m s-1", u = b:combined():max(), source = "budget, the largest of the bins" })
  hand_on(campaign, p, report, data, c, b, gain_u.u)
end

local function direction(report, coarse, scan)
  report:value("coarse direction", coarse.direction,
    { unit = "degree", u = coarse.direction_u })
  report:value("coarse amplitude", coarse.amplitude, { unit = "1", u = coarse.amplitude_u })
  report:value("line-of-sight direction", scan.direction,
    { unit = "degree", u = scan.direction_u, text = "vertex of the parabola, in the vane's frame" })
  report:value("direction of the smallest residual", scan.continuous,
    { unit = "degree", u = scan.continuous_u })
end

function check.run(campaign, p, report)
  local r, place = campaign.intervals, place_of(campaign.phase)
  local cup = channels.main(r.reference, "wind_speed")
  local vane = channels.main(r.reference, "wind_from_direction")
  local beam = r.unit:find{ quantity = "los_speed", beam = place.beam, range = place.range }
  exclude(campaign, r, p, report, place, cup, vane, beam)

  -- B1 over all directions, then the sector around it.
  local rectified = campaign.lidar.sign == "positive"
  local speed, corrected = reference.mean(campaign, cup)
  if corrected then report:note(corrected) end
  local V, theta, v = r:so_far(speed, vane.mean, beam.mean)
  local near = rectified and stated.read(campaign.phase.heading, "degree") or nil
  if rectified and not near then
    report:note("the unit is blind to the sign and the phase states no heading: of two opposite "
      .. "directions the one with more wind is taken")
  end
  local coarse = los.coarse(V, theta, v, { tilt = place.tilt, rectified = rectified,
    near = near })
  local response, all = v / (V * angle.cos(place.tilt)), theta
  r:exclude(string.format("more than %g degrees off the beam", p.half_sector),
    circular.difference(vane.mean, coarse.direction):abs():above(p.half_sector, "degree"))

  -- B2, C, D on what is left.
  local time
  local air = channels.if_any(r.reference, "air_temperature")
  local temperature = air and r:so_far(air.mean)
  V, theta, v, time = r:kept(speed, vane.mean, beam.mean, r.time)
  local centre = math.floor(coarse.direction / p.step + 0.5) * p.step
  local scan = los.scan(V, theta, v, { centre = centre, half_width = p.half_width, step = p.step,
    tilt = place.tilt })
  local both
  local c = los.calibrate(V, theta, v, { direction = scan.direction, tilt = place.tilt,
    width = p.width, at_least = p.at_least, lowest_bin = p.lowest_bin,
    highest_bin = p.highest_bin,
    adjust = function(x, y, horizontal)
      both = both_axes.of(campaign, report, cup, beam, x, y, 0, { x = x / horizontal })
      return both and both.adjusted
    end })
  r:binned(c.bins)
  local compared = #V - c.bins.outside:count()
  completeness.require(report, c.projected, c.bins, p.hours)

  direction(report, coarse, scan)
  report:value("records compared", compared, { unit = "1" })
  fits(report, "records", c.records)
  fits(report, "bin means", c.bin_means)
  if both then both_axes.say_sorted(report, both, c.records.gain) end
  local residual = by_bin(report, c)
  figures.response(report, all, response, coarse, rectified, scan)
  figures.scan(report, scan)
  figures.fit(report, c, v)
  if p.window > 0 then
    drift.report_windows(report, drift.windows(c.projected, v, time, p.window), p.window, c.gain)
  end
  report:require("r2_centred_records", c.records.r2_centred,
    { scatter_only = "describes the scatter" })
  judge(campaign, p, report, place,
    { cup = cup, vane = vane, beam = beam, speed = V, theta = theta, v = v, time = time,
      temperature = temperature }, scan, c, residual)
end

return check
