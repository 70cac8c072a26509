-- The horizontal wind reconstructed from the beams' line-of-sight speeds against the mast: speed by
-- bin, yaw misalignment (of a profiler: direction), and the uncertainty of both.
-- After IEC 61400-50-3 (clause 7.6 and annex A, recalled, check your copy of the standard):
-- interval means of the line-of-sight speeds, least squares over the beams (reconstruct.wind), the
-- covariance with the part that all beams share, because one reference calibrated them, fully
-- correlated. For the speed that part counts whole; in the direction it cancels.
--
-- frame "nacelle": beams from the axis; yaw misalignment gamma is positive when the wind comes from
-- the left of it:    compass direction of the wind = heading - gamma
-- frame "earth": a profiler on the ground, beams clockwise from its own mark of north:
--                    compass direction of the wind = heading of that mark + direction
-- Where the heading is not known it is taken from the data, and the offset is not tested.
--
-- The wind of an interval's mean line-of-sight speeds is a vector mean, a cup's is a scalar one: the
-- first is smaller by half the variance of the direction in the interval (practice/averaging.lua).
-- Nothing is corrected for that; where the vane's scatter is known, its size is reported.
--
-- Where the campaign takes a calibration of the beams (`calibrations`), each line-of-sight speed is
-- divided by the gain of its beam, and the parts of that calibration's budget take the place of u_shared
-- and u_own, each with its correlation between the beams (practice/calibration.lua).

local averaging    = require "practice.averaging"
local both_axes    = require "practice.both_axes"
local calibration  = require "practice.calibration"
local channels     = require "practice.channels"
local exclusions   = require "practice.exclusions"
local field_budget = require "practice.wind_field_budget"
local reference    = require "practice.reference"
local stated       = require "practice.stated"

local DTU = "public calibrations of line-of-sight speeds: U (k = 2) of 1.9 to 3.2 %"
local OWN = "worked example of a calibration: s / sqrt(N) of 0.12 m/s over 60 records at 9.4 m/s"
local LAB = "laboratory practice, no source"

local check = {
  title    = "Reconstructed wind against the reference: speed and direction",
  does     = "Reconstructs the horizontal wind from the beams' line-of-sight speeds, interval by "
          .. "interval, and compares it with the reference: speed by bin, yaw misalignment or "
          .. "direction, and the uncertainty of both.",
  practice = "IEC 61400-50-3, 7.6 and annex A (recalled)",
  needs    = { "unit.los_speed", "reference.wind_speed", "reference.wind_from_direction" },
  parameters = exclusions.parameters({
    frame    = { "nacelle", "1", "axes of the beams: \"nacelle\", or \"earth\" for a profiler on the ground",
                 source = "for the campaign to say" },
    range    = { 0, "m", "range of the beams (0: the only one)",
                 source = "for the campaign to say" },
    height   = { 0, "m", "height of the reference (0: the only one, or the one marked primary)",
                 source = "for the campaign to say" },
    model    = { "usual", "1", "what is solved for: \"uv\" (usual on a nacelle), \"uvw\" (usual on the "
                 .. "ground), or on a nacelle \"shear\" between the beams' heights",
                 source = "for the campaign to say" },
    width    = { 0.5, "m/s", "width of a bin, centred on multiples of itself",
                 source = "IEC 61400-12-1 Annex L", evidence = "recalled" },
    lowest   = { 4, "m/s", "lowest bin centre", source = "IEC 61400-12-1 Annex L",
                 evidence = "recalled" },
    highest  = { 16, "m/s", "highest bin centre", source = "IEC 61400-12-1 Annex L",
                 evidence = "recalled" },
    at_least = { 3, "records", "records that a bin needs", source = "IEC 61400-12-1, 8.4",
                 evidence = "recalled" },
    half_sector = { 40, "degree", "largest angle between the reference's direction and the axis "
                    .. "of a nacelle unit", tolerance = 10,
                    source = "sector of the line-of-sight calibration", evidence = "recalled" },
    u_shared = { 1.0, "%", "standard uncertainty of a line-of-sight speed that all beams share",
                 tolerance = "50 %", source = DTU, evidence = "seen" },
    u_own    = { 0.17, "%", "standard uncertainty of a line-of-sight speed that is each beam's own",
                 tolerance = "50 %", source = OWN, evidence = "computed" },
    u_opening = { 0.1, "degree", "standard uncertainty of the half opening angle (of a profiler: of "
                  .. "the beams' zenith angle)", tolerance = "50 %",
                  source = LAB, evidence = "recalled" },
    u_tilt   = { 0.05, "degree", "standard uncertainty of the tilt, and of a profiler's roll",
                 tolerance = "50 %", source = LAB, evidence = "recalled" },
    beyond_calibration = { "keep", "1", "records with a beam beyond the speeds for which it was calibrated: "
                 .. "\"keep\" and say how many, or \"exclude\"", source = "for the campaign to say" },
  }, exclusions.USUAL),
}

-- ---- what is reconstructed -----------------------------------------------------------------------

-- The one range at which the unit measures, or the one that was asked for.
local function range_of(r, asked)
  local seen, text, found = {}, {}, nil
  for _, c in ipairs(r.unit:all{ quantity = "los_speed" }) do
    if c.range and not seen[c.range] then
      seen[c.range] = true
      text[#text + 1], found = string.format("%g", c.range), c.range
    end
  end
  if asked ~= 0 then return asked end
  if #text > 1 then
    error("the beams measure at " .. table.concat(text, ", ") .. " m; say which: range = "
      .. text[1])
  end
  return found
end

-- What the frames differ in: the sign of a speed, what is usually solved for, what direction is
-- called.
local FRAMES = {
  nacelle = { positive = "towards", model = "uv", angle = "yaw misalignment", prefix = "yaw",
              axis = "heading of the axis" },
  earth = { positive = "away", model = "uvw", angle = "wind direction", prefix = "direction",
            axis = "heading of the unit" },
}

-- With the frame's sign, whatever the files say.
local function signed(campaign, frame, channel)
  for _, s in ipairs(campaign.sources) do
    if s.name == channel.source and s.channels[channel.name].positive ~= frame.positive then
      return -channel.mean
    end
  end
  return channel.mean
end

-- One channel a beam, in the order of lidar.beams; its speed, corrected by its calibration.
local function beams_of(campaign, r, frame, range)
  local beams = campaign.lidar.beams
  if not beams then error("the campaign does not give the directions of the beams (lidar.beams)") end
  local list, speeds, taken = {}, {}, {}
  for i in ipairs(beams) do
    list[i] = r.unit:find{ quantity = "los_speed", beam = i, range = range }
    taken[i] = calibration.of(campaign, list[i])
    speeds[i] = calibration.corrected(taken[i], signed(campaign, frame, list[i]))
  end
  return list, speeds, taken
end

-- Nominal directions; for the shear model with the heights of the beams at their range.
local function geometry(campaign, range, p, frame, cup)
  local model = p.model == "usual" and frame.model or p.model
  local beams, lens = {}, stated.read((campaign.lidar.position or {}).lens_height, "m")
  if model == "shear" and p.frame == "earth" then
    error("model \"shear\" is for beams at several heights of a nacelle unit")
  end
  if model == "shear" and not (lens and range and cup.height) then
    error("model \"shear\" needs the lens height, the range and the height of the anemometer")
  end
  for i, b in ipairs(campaign.lidar.beams) do
    beams[i] = { azimuth = b.azimuth, elevation = b.elevation }
    if model == "shear" then beams[i].height = lens + range * angle.sin(b.elevation) end
  end
  return beams, { frame = p.frame, model = model, height = model == "shear" and cup.height or nil }
end

local function attitude(r, o, quantity, report)
  local all = r.unit:all{ quantity = quantity }
  if #all == 0 then
    report:note("the unit gives no " .. quantity .. ": it is taken as 0")
  else
    o[quantity] = all[1].mean
  end
end

-- Heading of the axis and its standard uncertainty; nil where it is not stated.
local function heading_of(campaign)
  local h = (campaign.phase and campaign.phase.heading) or campaign.lidar.heading
  if type(h) == "number" then return h, 0 end
  if type(h) == "table" then return h[1], h.u or 0 end
  return nil, 0
end

-- ---- results -------------------------------------------------------------------------------------

-- Gives why the budget is not whole, where it is not.
local function add_reference(budget_of, campaign, channel, reading, records, report)
  local list = reference.components(campaign, channel, reading, records)
  if not list then
    report:note("the campaign names no instrument for " .. tostring(channel)
      .. ": its uncertainty is not in the budget")
    return reference.not_whole(nil, channel)
  end
  budget_of:include(list)
  if #list.not_stated > 0 then
    report:note(channel.instrument .. " does not state: " .. table.concat(list.not_stated, ", "))
  end
  return reference.not_whole(list, channel)
end

-- The uncertainty of a requirement.
local function of(u, not_whole, unit)
  return { u = not_whole and u.u or u, scatter_only = not_whole, unit = unit }
end

local function speeds(campaign, report, c, parts, cup, records)
  local b = budget.new(c.bins, { unit = "m/s" })
  field_budget.add(b, parts, "speed", "m/s")
  local not_whole = add_reference(b, campaign, cup, c.reference_mean, records, report)
  b:add("scatter of the bin", c.standard_error, { kind = "A", source = "s / sqrt(N) of the deviations" })
  report:table("speed by bin", c)
  report:table("uncertainty of the speed deviation", b:table())
  report:table("components of the speed", b:components())
  local forced = c.through_origin.bin_means
  local gain = b:overall{ weights = c.count, relative_to = c.reference_mean }
  report:value("forced slope of speed, records", c.through_origin.records.slope,
    { unit = "1", u = c.through_origin.records.slope_u })
  report:value("forced slope of speed, bin means", forced.slope, { unit = "1", u = gain })
  report:value("r2 centred of speed, records", c.through_origin.records.r2_centred, { unit = "1" })
  report:require("speed_slope", forced.slope, of(gain, not_whole))
  report:figure("speed deviation by bin", {
    title = "Reconstructed speed against the reference, with expanded uncertainty (k = 2)",
    x = { label = "reference wind speed", unit = "m s-1" },
    y = { label = "unit minus reference", unit = "m s-1" },
    series = { { kind = "level", label = "no deviation", y = 0 },
               { kind = "error", label = "mean deviation", x = c.reference_mean,
                 y = c.deviation_mean, u = b:expanded(2) } },
  })
end

-- Of direction, or yaw misalignment. `axis` is the heading with its u, and whether it is stated.
local function directions(campaign, report, c, parts, p, vane, off, axis, records)
  local frame, b = FRAMES[p.frame], budget.new(c.bins, { unit = "degree" })
  field_budget.add(b, parts, "direction", "degree")
  local zero = {}
  for i = 1, #c.bins do zero[i] = 0 end
  local not_whole = add_reference(b, campaign, vane, column.new(zero, "degree"), records, report)
  if axis.u > 0 then
    b:add("heading", axis.u, { kind = "B", group = "heading", source = "as the campaign states it" })
  end
  b:add("scatter of the bin", c.bins:standard_error(off), { kind = "A", source = "s / sqrt(N)" })
  local mean, u = circular.difference(circular.mean(off), 0), b:overall{ weights = c.count }
  report:table("uncertainty of the " .. frame.angle, b:table())
  report:value(frame.angle .. ", mean difference", mean, { unit = "degree", u = u })
  if axis.stated and math.abs(mean) > 135 then
    report:note("the unit's wind comes from the other side: is `positive` of its line-of-sight speeds "
      .. "right, and the heading?")
  end
  report:value(frame.angle .. ", sd of the difference", circular.sd(off), { unit = "degree" })
  report:table(frame.angle .. " by bin", { columns = {
    { name = "bin centre", values = c.centre }, { name = "records", unit = "1", values = c.count },
    { name = "mean difference", unit = "degree", values = c.bins:mean(off) },
    { name = "standard deviation", unit = "degree", values = c.bins:sd(off) },
  } })
  if axis.stated then
    report:require(frame.prefix .. "_offset", math.abs(mean), of(u, not_whole, "degree"))
  else
    report:note("the heading is not stated: it is fitted, and the " .. frame.prefix
      .. " offset is not tested")
  end
  report:require(frame.prefix .. "_spread", circular.sd(off), { unit = "degree",
    scatter_only = "a spread; the constant parts of the uncertainty are not in it" })
end

-- How much smaller a vector mean is, by the vane's scatter.
local function averaging_note(report, r, vane)
  local text = "the unit's wind is a vector mean, the cup's a scalar one"
  if vane:gives("sd") then
    local sd = r:so_far(vane.sd):mean()
    report:value("vector by scalar mean, expected", averaging.ratio(sd), { unit = "1",
      text = "from the mean standard deviation of the reference's direction" })
  elseif vane:gives("resultant") then
    report:value("vector by scalar mean, expected", r:so_far(vane.resultant):mean(), { unit = "1",
      text = "mean resultant length of the reference's direction" })
  else
    text = text .. "; the vane's scatter is not known, so by how much it is smaller is not either"
  end
  report:note(text)
end

-- Where the unit points: as stated, or what makes it agree with the vane on average; and the
-- direction in its axes that the vane gives.
local function pointing(campaign, p, vane, w)
  local axis, earth = {}, p.frame == "earth"
  axis.heading, axis.u = heading_of(campaign)
  axis.stated = axis.heading ~= nil
  if not axis.stated then
    axis.heading = circular.mean(earth and circular.difference(vane.mean, w.direction)
      or vane.mean + w.direction)
  end
  if earth then return axis, circular.difference(vane.mean, axis.heading) end
  return axis, circular.difference(axis.heading, vane.mean)
end

-- ---- the calibration's range --------------------------------------------------------------------

-- Records in which a beam sees a speed for which it was not calibrated; nil without a calibration.
local function beyond_speeds(taken, seen)
  local mask
  for i, t in ipairs(taken) do
    local of_beam = calibration.beyond(t, "los_speed", seen[i]:abs())
    if of_beam then mask = mask and (mask | of_beam) or of_beam end
  end
  return mask
end

-- What the kept records are held against: speed, angle and air temperature of each beam. `expected` is
-- the wind's direction in the axes of the unit.
local function conditions(campaign, r, p, taken, seen, expected)
  local list, air = {}, channels.if_any(r.reference, "air_temperature")
  for i, t in ipairs(taken) do
    local off = circular.difference(expected, campaign.lidar.beams[i].azimuth):abs()
    if p.frame == "earth" then off = { 90, "degree" } - (off - { 90, "degree" }):abs() end -- to its line
    list[#list + 1] = { taken = t, quantity = "los_speed", values = r:so_far(seen[i]):abs() }
    list[#list + 1] = { taken = t, quantity = "angle between wind and beam", values = r:so_far(off) }
    if air then
      list[#list + 1] = { taken = t, quantity = "air_temperature", values = r:so_far(air.mean) }
    end
  end
  return list
end

local function exclude(campaign, r, p, report, w, cup, vane, first, expected)
  r:exclude("reference missing", cup.mean:missing() | vane.mean:missing())
  for _, reason in ipairs(w.reasons) do r:exclude("unit: " .. reason.reason, reason.mask) end
  r:exclude("unit: calm", w.speed:equals(0, "m/s"), { unknown = "keep" })
  exclusions.availability(r, report, first, p.availability)
  if reference.is_lidar(campaign, cup) then
    exclusions.reference_availability(r, report, cup, p.availability)
  end
  exclusions.icing(r, report, p)
  exclusions.instruments(r, report, p, { cup })
  exclusions.disturbed(campaign, r, report, p.sector_margin)
  if p.frame == "nacelle" then
    r:exclude(string.format("reference more than %g degrees from the axis", p.half_sector),
      expected:abs():above(p.half_sector, "degree"))
  end
end

function check.run(campaign, p, report)
  local r, frame = campaign.intervals, FRAMES[p.frame]
  if p.beyond_calibration ~= "keep" and p.beyond_calibration ~= "exclude" then
    error("beyond_calibration is \"keep\" or \"exclude\"")
  end
  if not frame then error("frame is \"nacelle\" or \"earth\", not \"" .. p.frame .. "\"") end
  local cup = channels.at(r.reference, "wind_speed", p.height)
  local vane = channels.main(r.reference, "wind_from_direction")
  local range = range_of(r, p.range)
  local list, seen, taken = beams_of(campaign, r, frame, range)
  local beams, o = geometry(campaign, range, p, frame, cup)
  attitude(r, o, "tilt", report)
  attitude(r, o, "roll", report)
  local w = reconstruct.wind(beams, seen, o)
  report:value("beams", #beams, { unit = "1" })
  report:value("records with a beam dropped", w.with_a_beam_dropped, { unit = "1" })
  local axis, expected = pointing(campaign, p, vane, w)
  exclude(campaign, r, p, report, w, cup, vane, list[1], expected)
  local beyond = beyond_speeds(taken, seen)
  if beyond and p.beyond_calibration == "exclude" then
    r:exclude("a beam beyond its calibrated speeds", beyond)
  end
  local looked_at = conditions(campaign, r, p, taken, seen, expected)

  local bins = { width = p.width, lowest = p.lowest, highest = p.highest, at_least = p.at_least }
  local los, attitude_kept = { r:so_far(table.unpack(seen)) }, {}
  for _, name in ipairs{ "tilt", "roll" } do
    attitude_kept[name] = o[name] and r:so_far(o[name])
  end
  if o.model == "uvw" then
    report:value("vertical wind, mean", r:so_far(w.w):mean(), { unit = "m s-1",
      text = p.frame == "earth" and "positive upwards" or "positive from above" })
  end
  local speed, corrected = reference.mean(campaign, cup)
  if corrected then report:note(corrected) end
  -- what an independent error of 1 in each line-of-sight speed is in the speed
  local unit_error = reconstruct.wind(beams, seen, { frame = o.frame, model = o.model,
    height = o.height, tilt = o.tilt, roll = o.roll, u = 1 }).speed_u / { 1, "m/s" }
  local v, s, off, condition, time, change = r:kept(speed, w.speed,
    circular.difference(w.direction, expected), w.condition, r.time, unit_error)
  local both = both_axes.of(campaign, report, cup, list[1], v, s, 0, { y = change })
  averaging_note(report, r, vane)
  local c = compare.by_bin(s, v, bins, both and both.adjusted)
  if both then both_axes.say_sorted(report, both, c.through_origin.records.slope) end
  r:binned(c.bins)
  for k in ipairs(los) do los[k] = c.bins:mean(los[k]) end
  for _, name in ipairs{ "tilt", "roll" } do o[name] = o[name] and attitude_kept[name]:mean() end
  report:value("records compared", #v, { unit = "1" })
  report:value("condition number, largest", condition:max(), { unit = "1" })
  report:value(frame.axis, axis.heading % 360, { unit = "degree",
    text = axis.stated and "as stated" or "fitted to the data" })
  if taken[1] then
    calibration.say(report, taken)
    calibration.say_beyond(report, looked_at)
  end
  local parts = field_budget.by_bin(c.bins, beams, los, c.measured_mean, o, taken, p)
  local records = { bins = c.bins, time = time } -- which of several instruments measured what
  speeds(campaign, report, c, parts, cup, records)
  directions(campaign, report, c, parts, p, vane, off, axis, records)
end

return check
