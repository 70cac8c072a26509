-- Certificates of the reference's instruments.
-- Dates are compared as they stand in the campaign file: a date is its first ten characters.

local certificates = {}

local function day(text) return text:sub(1, 10) end

local function fitted_to(fitted, i, period_to)
  return fitted[i].to or (fitted[i + 1] and fitted[i + 1].from) or period_to
end

-- Places whose instruments are the unit's alone: what is tested has no certificate yet.
local function of_unit(campaign)
  local unit, others = {}, {}
  for _, source in ipairs(campaign.sources) do
    for _, channel in pairs(source.channels) do
      if channel.instrument then
        (source.role == "unit" and unit or others)[channel.instrument] = true
      end
    end
  end
  for place in pairs(others) do unit[place] = nil end
  return unit
end

--- Every instrument, but for the unit's own, that was fitted in a part of the campaign's period, in
--- order of place and time: { place, serial, from, to, calibration, calibration_after, in_data,
--- state }; state is "valid", "no certificate", "no end of validity stated", "expires within the
--- period" or "expired before".
function certificates.list(campaign)
  local list, period, skipped = {}, campaign.period, of_unit(campaign)
  for place, instrument in pairs(campaign.instruments or {}) do
    for i, f in ipairs(skipped[place] and {} or instrument.fitted) do
      local from, to = f.from, fitted_to(instrument.fitted, i, period.to)
      if from < period.from then from = period.from end
      if to > period.to then to = period.to end
      if from < to then
        list[#list + 1] = { place = place, serial = f.serial, from = from, to = to,
          calibration = f.calibration, calibration_after = f.calibration_after,
          in_data = f.in_data, state = certificates.state(f.calibration, from, to) }
      end
    end
  end
  return list
end

function certificates.state(calibration, from, to)
  if not calibration or not calibration.certificate then return "no certificate" end
  if not calibration.valid_to then return "no end of validity stated" end
  if calibration.valid_to < day(from) then return "expired before" end
  if calibration.valid_to < day(to) then return "expires within the period" end
  return "valid"
end

--- Ratios that a slope between two anemometers takes when a certificate's line went in wrongly, as a
--- list of { ratio, text }. `f` is an entry of the list. With the logger's own line in the data the
--- correction is certificate slope / logger slope; it may have been left out or applied twice. A
--- certificate's slope itself shows where a signal was taken for a speed or a speed for a signal.
function certificates.suspects(f)
  local suspects, c = {}, f.calibration
  local function add(ratio, text) suspects[#suspects + 1] = { ratio = ratio, text = text } end
  if not (c and c.slope) then return suspects end
  add(c.slope, "the slope of the certificate of " .. f.serial .. ": calibration applied twice?")
  add(1 / c.slope, "the inverse slope of the certificate of " .. f.serial
    .. ": calibration not applied at all?")
  add(c.slope ^ 2, "the square of the slope of the certificate of " .. f.serial
    .. ": calibration applied three times?")
  if type(f.in_data) == "table" and f.in_data.slope then
    local correction = c.slope / f.in_data.slope
    add(correction, "certificate by logger slope of " .. f.serial .. ": calibration applied twice?")
    add(1 / correction, "logger by certificate slope of " .. f.serial
      .. ": calibration not applied at all?")
    add(correction ^ 2, "the square of certificate by logger slope of " .. f.serial
      .. ": calibration applied three times?")
  end
  return suspects
end

--- The suspects that a slope lies near: within `near` of the ratio (a part of it), where the ratio
--- itself is further than that from 1, for a slope near 1 is what is expected.
function certificates.near(slope, f, near)
  local found = {}
  for _, s in ipairs(certificates.suspects(f)) do
    if math.abs(s.ratio - 1) > near and math.abs(slope / s.ratio - 1) <= near then
      found[#found + 1] = s.text
    end
  end
  return found
end

return certificates
