-- From acceptance to use: what a check hands on of a calibration, and how a later campaign of the
-- same unit takes it (campaign key `calibrations`). Common practice, no source: the forced gain over
-- the bins is what is applied, its bins and budget say how well it is known and where it holds.
--
--   corrected   x = shown / gain
--   u(x)        each component linear between the bins; below the first bin its u, above the last
--               bin its u in proportion to x
--
-- Components keep the groups that they had, with "calibration: " before them: what the same cup, the
-- same vane or the same site did to several beams is one error in all of them, in every bin. What
-- was one beam's own (its height, its direction, its scatter) is that beam's, in every bin. The
-- reference of the calibration is taken as independent of the reference beside which the unit is
-- used: where both are one cup the true uncertainty of the difference is smaller.

local calibration = {}

-- ---- what a check hands on ----------------------------------------------------------------------

-- The components of a budget with their u in the bins that count.
local function components(b, bins)
  local numbers, about, list = b:table().columns, b:components().columns, {}
  for k, name in ipairs(about[1].values) do
    local u, group, source = {}, about[4].values[k], about[5].values[k]
    for i, bin_number in ipairs(bins) do u[i] = numbers[k + 1].values[bin_number] end
    list[k] = { name = name, kind = about[2].values[k], u = u,
                group = group ~= missing and group or nil, source = source ~= missing and source or nil }
  end
  return list
end

--- What is calibrated, in words: "los_speed of beam 1 at 240 m", "wind_speed at height 80 m".
local function named(channel)
  local text = channel.quantity
  if channel.beam then text = text .. string.format(" of beam %g", channel.beam) end
  if channel.range then text = text .. string.format(" at %g m", channel.range) end
  if channel.height then text = text .. string.format(" at height %g m", channel.height) end
  return text
end

--- Hands on that `channel` shows `gain` times what the reference shows. o: gain, gain_u; comparison
--- (of compare.by_bin: its complete bins), budget (over these bins, in the channel's unit), text;
--- from, to; valid, a list of { quantity =, lowest =, highest =, unit = }.
function calibration.give(report, channel, o)
  local c, whole, bins, which = o.comparison, o.budget:combined(), {}, {}
  for i = 1, #c.bins do
    if c.bins.complete[i] and whole[i] ~= missing then
      which[#which + 1] = i
      bins[#bins + 1] = { reference = c.reference_mean[i], measured = c.measured_mean[i],
                          records = c.count[i], u = whole[i] }
    end
  end
  report:calibration(named(channel), {
    quantity = channel.quantity, beam = channel.beam, range = channel.range, height = channel.height,
    unit = c.reference_mean.unit, gain = o.gain, gain_u = o.gain_u, text = o.text,
    from = o.from, to = o.to, valid = o.valid, bins = bins, components = components(o.budget, which),
  })
end

--- The range of validity that the complete bins of a comparison cover: half a bin beyond the outer
--- centres.
function calibration.covered(quantity, bins, width, unit)
  local lowest, highest
  for i = 1, #bins do
    if bins.complete[i] then
      lowest, highest = lowest or bins.centre[i], bins.centre[i]
    end
  end
  return { quantity = quantity, lowest = lowest - width / 2, highest = highest + width / 2, unit = unit }
end

--- The range of a condition over the records of a column, missing ones aside.
function calibration.seen(quantity, values)
  return { quantity = quantity, lowest = values:min(), highest = values:max(), unit = values.unit }
end

-- ---- what a campaign takes ----------------------------------------------------------------------

local function matches(c, channel, any_range)
  return c.quantity == channel.quantity and c.beam == channel.beam and c.height == channel.height
    and (any_range or c.range == channel.range)
end

--- For a check that takes the unit's values as it shows them, although the campaign takes a calibration
--- of them, or of the beams that they are made of: that it does is said.
function calibration.say_not_applied(campaign, report, channel)
  for _, file in ipairs(campaign.calibrations or {}) do
    for _, c in ipairs(file.source == channel.source and file.calibrations or {}) do
      if c.quantity == channel.quantity then
        report:note("the unit's speeds are taken as it shows them: this check applies no calibration")
        return
      elseif c.quantity == "los_speed" then
        report:note("the calibration of the beams' speeds is not in the wind that is compared here: the "
          .. "check wind_field applies it")
        return
      end
    end
  end
end

--- What the campaign's calibrations say of a channel: { gain, gain_u, file, entry }, nil where no file
--- is of its source and quantity. A channel that a file leaves out is an error: half a correction is
--- none.
function calibration.of(campaign, channel)
  local left_out
  for _, file in ipairs(campaign.calibrations or {}) do
    for _, c in ipairs(file.source == channel.source and file.calibrations or {}) do
      if matches(c, channel, file.any_range) then
        return { gain = c.gain, gain_u = c.gain_u, entry = c, file = file, channel = channel }
      end
      if c.quantity == channel.quantity then left_out = file end
    end
  end
  if left_out then
    error(string.format("%s is not calibrated in %s%s", named(channel), left_out.file, channel.range
      and "; a calibration at another range holds where the campaign says any_range = true" or ""), 0)
  end
  return nil
end

--- What the channel shows, corrected; the column itself where there is no calibration.
function calibration.corrected(taken, values)
  return taken and values / taken.gain or values
end

local function at(bins, u, x)
  local first, last = bins[1], bins[#bins]
  if x <= first.reference then return u[1] end
  if x >= last.reference then return u[#bins] * (x / last.reference) end
  for i = 2, #bins do
    local a, b = bins[i - 1], bins[i]
    if x <= b.reference then
      return u[i - 1] + (u[i] - u[i - 1]) * (x - a.reference) / (b.reference - a.reference)
    end
  end
end

--- Its components at corrected values (a column; its sign does not matter), for budget:include.
function calibration.components(taken, values)
  local c, list = taken.entry, {}
  for k, part in ipairs(c.components) do
    local u = {}
    for i = 1, #values do
      u[i] = values[i] == missing and missing or at(c.bins, part.u, math.abs(values[i]))
    end
    local name = "calibration: " .. part.name
    list[k] = { name = name, u = column.new(u, c.unit), kind = part.kind, source = part.source,
                group = "calibration: " .. (part.group or part.name .. " of " .. c.name) }
  end
  return list
end

--- Components of several channels at one value each: `shared`, a list of { name, source, u } with one
--- u a channel (0 where it has none) of what two of them or more share, with the sign of the value;
--- and `own`, one u a channel of all the rest.
function calibration.of_several(taken, values)
  local groups, order, own = {}, {}, {}
  for k, t in ipairs(taken) do
    for _, part in ipairs(calibration.components(t, column.new({ values[k] }))) do
      local g = groups[part.group]
      if not g then
        g = { name = part.name, source = part.source, channels = 0, u = {} }
        for i in ipairs(taken) do g.u[i] = 0 end
        groups[part.group], order[#order + 1] = g, g
      end
      if g.u[k] == 0 then g.channels = g.channels + 1 end
      g.u[k] = values[k] < 0 and -part.u[1] or part.u[1]
    end
  end
  local shared = {}
  for k in ipairs(taken) do own[k] = 0 end
  for _, g in ipairs(order) do
    if g.channels > 1 then
      shared[#shared + 1] = g
    else
      for k, u in ipairs(g.u) do own[k] = own[k] + u * u end
    end
  end
  for k in ipairs(own) do own[k] = math.sqrt(own[k]) end
  return shared, own
end

--- Records beyond what the calibration is valid for in a quantity: a mask, nil where it says nothing
--- of it.
function calibration.beyond(taken, quantity, values)
  for _, v in ipairs(taken.entry.valid) do
    if v.quantity == quantity then
      local x = values:to(v.unit)
      return x:below(v.lowest, v.unit) | x:above(v.highest, v.unit), v
    end
  end
  return nil
end

-- ---- what is said of it -------------------------------------------------------------------------

--- The table of how many of the kept records lie beyond what a calibration is valid for: `looked_at`
--- is a list of { taken =, quantity =, values = (kept) }.
function calibration.say_beyond(report, looked_at)
  local names = { "calibration of", "condition", "lowest", "highest", "unit", "records beyond", "of records" }
  local rows, any = {}, false
  for i in ipairs(names) do rows[i] = {} end
  for _, look in ipairs(looked_at) do
    local mask, v = calibration.beyond(look.taken, look.quantity, look.values)
    if mask then
      local n = mask:count()
      any = any or n > 0
      for i, x in ipairs{ look.taken.entry.name, v.quantity, v.lowest, v.highest, v.unit, n, #look.values } do
        rows[i][#rows[i] + 1] = x
      end
    end
  end
  local columns = {}
  for i, name in ipairs(names) do columns[i] = { name = name, values = rows[i] } end
  report:table("validity of the calibration", { columns = columns })
  if any then
    report:note("records lie beyond what the calibration is valid for: see the table; they are used with "
      .. "its gain, their uncertainty is carried on from the nearest bin")
  end
end

--- The table of what was applied, and what must be known of it.
function calibration.say(report, taken)
  local column_of = { "calibration of", "gain", "u of the gain (k = 1)", "from", "to", "check", "outcome",
                      "record" }
  local rows, said = {}, {}
  for i in ipairs(column_of) do rows[i] = {} end
  for i, t in ipairs(taken) do
    local c = t.entry
    for k, value in ipairs{ c.name, c.gain, c.gain_u, c.from, c.to, c.check, c.outcome,
                            string.sub(t.file.record.sha256, 1, 12) } do
      rows[k][i] = value
    end
    if c.outcome ~= "pass" then
      report:note(string.format("the calibration of %s came with the outcome '%s'", c.name, c.outcome))
    end
    if c.range ~= t.channel.range then
      report:note(named(t.channel) .. " takes the calibration of " .. c.name)
    end
    if t.file.despite and not said[t.file] then
      said[t.file] = true
      report:note(t.file.file .. " is used although the unit is not as it was: " .. t.file.despite)
    end
  end
  local columns = {}
  for i, name in ipairs(column_of) do columns[i] = { name = name, values = rows[i] } end
  columns[2].unit, columns[3].unit = "1", "1"
  report:table("calibration applied", { columns = columns })
end

return calibration
