-- Radial speed against a known speed on the bench: a moving hard target (a belt, a wheel) at
-- several speeds, of both signs. Principle and size of the uncertainty: Pedersen, Courtney, Atmos.
-- Meas. Tech. 14, 889 (2021), flywheel (abstract seen); the evaluation is common practice, no
-- source. Sheet in `tables`:
--
--   bench   known, measured   m/s, positive towards the unit
--           beam              optional: one evaluation for each beam
--
--   line      measured = zero + gain known          over all speeds
--   linearity largest residual from that line
--   sides     forced gains of the two signs, and their difference: a sign that is lost, or an
--             offset in frequency, shows here
--
-- A unit that is blind to the sign (lidar.sign = "positive") is held against the size of the known
-- speed; each side of it still has its own gain.

local sheets = require "practice.sheets"

local check = {
  title    = "Radial speed against a known speed, on the bench",
  does     = "Fits the measured radial speed on the known speed of a moving hard target, of both "
          .. "signs: zero offset, gain, largest residual. Needs a bench sheet (table) instead of "
          .. "records.",
  practice = "moving hard target; common practice, no source; uncertainty as of the published "
          .. "flywheel",
  needs    = {},
  parameters = {
    known_u = { 0.1, "%", "standard uncertainty of the known speed, of the speed",
                tolerance = "50 %", source = "Atmos. Meas. Tech. 14, 889 (2021), abstract", evidence = "seen" },
    zero_u  = { 0.005, "m/s", "standard uncertainty of the known speed at rest",
                tolerance = "50 %", source = "common practice, no source", evidence = "recalled" },
  },
}

-- Forced gain of the speeds of one sign; nil with fewer than 2.
local function side(known, measured, mask)
  if mask:count() < 2 then return nil end
  return fit.through_origin(known:where(mask), measured:where(mask))
end

local function evaluate(signed, measured, blind, p, report, name)
  local known = blind and signed:abs() or signed
  local f = fit.line(known, measured)
  local residual = measured - (known * f.slope + f.intercept)
  local gain_u = math.sqrt(f.slope_u ^ 2 + (p.known_u / 100) ^ 2)
  local zero_u = math.sqrt(f.intercept_u ^ 2 + p.zero_u ^ 2)
  local linearity = residual:abs():max()
  report:value("gain" .. name, f.slope, { unit = "1", u = gain_u })
  report:value("zero offset" .. name, f.intercept, { unit = "m s-1", u = zero_u })
  report:value("linearity" .. name, linearity,
    { unit = "m s-1", text = "largest residual from the line" })
  report:table("speeds" .. name, { columns = {
    { name = "known", unit = "m s-1", values = known },
    { name = "measured", unit = "m s-1", values = measured },
    { name = "deviation", unit = "m s-1", values = measured - known },
    { name = "residual", unit = "m s-1", values = residual },
  } })
  report:figure("deviation" .. name, {
    title = "Measured minus known speed" .. name,
    x = { label = "known speed", unit = "m s-1" }, y = { label = "deviation", unit = "m s-1" },
    series = { { kind = "level", label = "no deviation", y = 0 },
               { kind = "points", label = "speeds", x = known, y = measured - known } },
  })

  local towards = side(known, measured, signed:above(0))
  local away = side(known, measured, signed:below(0))
  local asymmetry
  if towards and away then
    asymmetry = { value = towards.slope - away.slope,
                  u = math.sqrt(towards.slope_u ^ 2 + away.slope_u ^ 2) }
    report:value("forced gain, towards" .. name, towards.slope,
      { unit = "1", u = towards.slope_u })
    report:value("forced gain, away" .. name, away.slope, { unit = "1", u = away.slope_u })
    report:value("difference of the signs" .. name, asymmetry.value,
      { unit = "1", u = asymmetry.u })
  end
  return { gain = f.slope, gain_u = gain_u, zero = f.intercept, zero_u = zero_u,
           linearity = linearity, asymmetry = asymmetry,
           linearity_u = p.known_u / 100 * known:abs():max() }
end

-- The one of several beams that is farthest from what it should be.
local function worst(list, size)
  local found = list[1]
  for _, e in ipairs(list) do
    if size(e) > size(found) then found = e end
  end
  return found
end

function check.run(campaign, p, report)
  local sheet = sheets.find(campaign, "bench")
  if not sheet then undefined("the campaign has no sheet: tables = { bench = FILE }") end
  local beam, list = sheets.column(sheet, "beam"), {}
  local blind = campaign.lidar.sign == "positive"
  if beam then
    for i, number in ipairs(sheets.distinct(beam)) do
      local rows = beam:equals(number)
      list[i] = evaluate(sheet.known:where(rows), sheet.measured:where(rows), blind, p,
        report, string.format(", beam %g", number))
    end
  else
    list[1] = evaluate(sheet.known, sheet.measured, blind, p, report, "")
  end

  local SOURCE = "known speed, and the scatter of the line"
  local gain = worst(list, function(e) return math.abs(e.gain - 1) end)
  local zero = worst(list, function(e) return math.abs(e.zero) end)
  local bent = worst(list, function(e) return e.linearity end)
  report:require("gain", gain.gain, { unit = "1", u = gain.gain_u, source = SOURCE })
  report:require("zero_offset", math.abs(zero.zero),
    { unit = "m s-1", u = zero.zero_u, source = SOURCE })
  report:require("linearity", bent.linearity,
    { unit = "m s-1", u = bent.linearity_u, source = "known speed at its largest" })
  local uneven
  for _, e in ipairs(list) do
    if not e.asymmetry then
      report:note("one of the signs has fewer than 2 speeds: their difference is not tested")
      return
    end
    if not uneven or math.abs(e.asymmetry.value) > math.abs(uneven.value) then
      uneven = e.asymmetry
    end
  end
  report:require("sign_difference", math.abs(uneven.value),
    { unit = "1", u = uneven.u, source = "scatter; the known speed is the same for both" })
end

return check
