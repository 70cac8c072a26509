-- A reference that scatters as much as the unit (another lidar): errors on both axes.
-- A fit of y on x takes x as exact. Where it is not, the slope is too small ("regression dilution",
-- textbook): by u_x^2 / mean(x^2) through the origin, by u_x^2 / var(x) for a free line, u_x what
-- the single records of the reference scatter by themselves (its repeatability; what is constant
-- over the records bends nothing and belongs to the budget). So with u_y of the unit the same:
--
--   forced slope   York's line through the origin, each record with its u_x, u_y and their
--                  correlation r (fit.york); for u_x, u_y that do not vary this is Deming's
--   free line      York, and beside it Deming with ratio = mean(u_y^2) / mean(u_x^2)
--   adjusted x     x + (y - b x) (b u_x^2 - r u_x u_y) / (u_y^2 + b^2 u_x^2 - 2 b r u_x u_y),
--                  York's estimate of the true speed, b the forced slope
--
-- The means of bins of x are bent in the same way, and many records do not mend it: the errors of x
-- sort the records. The adjusted x is independent of y - b x, so bins of it are not bent (York et
-- al., Am. J. Phys. 72, 367, 2004, for the adjusted point; its use for bins is own).
-- What both instruments do wrong alike is in neither: it cannot be seen in their difference.

local instruments = require "practice.instruments"
local reference   = require "practice.reference"

local both_axes = {}

-- The repeatability of a channel's instrument at its readings, or nil.
local function repeatability(campaign, channel, reading)
  local place = reference.instrument(campaign, channel)
  return place and instruments.repeatability(place, reading)
end

local function named(channel)
  return channel.instrument and "instruments." .. channel.instrument .. ".repeatability"
    or "the instrument of " .. tostring(channel) .. ", with its repeatability"
end

--- Standard uncertainties u_x, u_y of the single records, columns, as the instruments of two
--- channels state them; either may be nil. Where x or y is not the channel's reading itself, `scale`
--- has a column x, what x is of the reading, or y, what y changes with the reading.
function both_axes.stated(campaign, ref, unit, x, y, scale)
  local by_x, by_y = scale and scale.x, scale and scale.y
  local u_x = repeatability(campaign, ref, by_x and x / by_x or x)
  local u_y = repeatability(campaign, unit, y)
  return u_x and by_x and u_x * by_x or u_x, u_y and by_y and u_y * by_y or u_y
end

-- The same, or nothing where the reference states none: it is then taken as exact, but for a lidar,
-- of which that is not true: the check says so and cannot decide.
local function needed(campaign, report, ref, unit, x, y, scale)
  local u_x, u_y = both_axes.stated(campaign, ref, unit, x, y, scale)
  if u_x and u_y then return u_x, u_y end
  if u_x or reference.is_lidar(campaign, ref) then
    local absent = {}
    if not u_x then absent[1] = named(ref) end
    if not u_y then absent[#absent + 1] = named(unit) end
    report:inconclusive("the reference scatters by itself, and the campaign does not state by how "
      .. "much: " .. table.concat(absent, " and "))
  end
end

--- The forced slope of y on x, with the standard uncertainties u_x, u_y of each record and the
--- correlation of the two errors in one record: what fit.york gives.
function both_axes.forced(x, y, u_x, u_y, correlation)
  return fit.york(x, y, { u_x = u_x, u_y = u_y, correlation = correlation, through_origin = true })
end

--- The adjusted x of each record, for the forced slope b.
function both_axes.adjusted(x, y, u_x, u_y, correlation, b)
  local together = u_x * u_y * correlation
  return x + (y - x * b) * (u_x * u_x * b - together)
    / (u_y * u_y + u_x * u_x * (b * b) - together * (2 * b))
end

--- Do two channels, reference and unit, with their columns x and y have errors on both axes? Then
--- their uncertainties and the adjusted x; else nil. An uncertainty in percent is that of the
--- adjusted x: of the readings themselves the smaller ones would weigh more, which bends the slope.
function both_axes.of(campaign, report, ref, unit, x, y, correlation, scale)
  local u_x, u_y = needed(campaign, report, ref, unit, x, y, scale)
  if not u_x or (x + y):count() < 3 then return nil end -- too few are said as such
  local function adjusted()
    local b = both_axes.forced(x, y, u_x, u_y, correlation).slope
    return both_axes.adjusted(x, y, u_x, u_y, correlation, b), b
  end
  local first, b = adjusted()
  u_x, u_y = both_axes.stated(campaign, ref, unit, first, first * b, scale)
  return { x = x, y = y, u_x = u_x, u_y = u_y, correlation = correlation, adjusted = (adjusted()) }
end

--- Those of its records that a mask holds, as x, y, u_x, u_y, correlation.
function both_axes.under(both, mask)
  return both.x:where(mask), both.y:where(mask), both.u_x:where(mask), both.u_y:where(mask),
    both.correlation
end

local function dilution(x, u_x)
  return 100 * (u_x * u_x):mean() / (x * x):mean()
end

--- For checks that decide by the means of bins alone: says that these are bins of the adjusted x.
function both_axes.say_sorted(report, both, ordinary)
  local forced = both_axes.forced(both.x, both.y, both.u_x, both.u_y, both.correlation)
  report:value("forced slope, errors on both axes", forced.slope, { unit = "1",
    u = forced.slope_u * math.max(1, math.sqrt(forced.chi2 / forced.dof)),
    text = "York, through the origin, records" })
  report:note(string.format("the reference scatters by itself: the ordinary forced slope of the "
    .. "records, %.5f, is too small by about %.3f %%; bins are those of the speed that errors on both "
    .. "axes adjust, and their means decide", ordinary, dilution(both.x, both.u_x)))
end

--- Fits the records, says what decides and why, and gives the forced slope that does. `ordinary` is
--- the ordinary forced slope of the same records. The u are scaled up where the records scatter by
--- more than is stated, never down.
function both_axes.report(report, ordinary, x, y, u_x, u_y, correlation)
  local forced = both_axes.forced(x, y, u_x, u_y, correlation)
  local free = fit.york(x, y, { u_x = u_x, u_y = u_y, correlation = correlation })
  local ratio = (u_y * u_y):mean() / (u_x * u_x):mean()
  local deming = fit.deming(x, y, { ratio = ratio })
  local scatter = math.sqrt(forced.chi2 / forced.dof)
  local widen = math.max(1, scatter)
  report:value("forced slope, errors on both axes", forced.slope,
    { unit = "1", u = forced.slope_u * widen, text = "York, through the origin, records" })
  report:value("free slope, errors on both axes", free.slope,
    { unit = "1", u = free.slope_u * widen, text = "York, records" })
  report:value("free intercept, errors on both axes", free.intercept,
    { unit = y.unit, u = free.intercept_u * widen })
  report:value("free slope, Deming", deming.slope, { unit = "1", u = deming.slope_u,
    text = string.format("ratio of the variances, unit by reference: %.4g", ratio) })
  report:value("scatter by what is stated", scatter,
    { unit = "1", text = "root of York's chi squared over its degrees of freedom" })
  report:note(string.format("the reference scatters by itself: the ordinary forced slope of the "
    .. "records, %.5f, is too small by about %.3f %%; the slope with errors on both axes decides, "
    .. "and bins are those of the speed that it adjusts", ordinary,
    dilution(x, u_x)))
  report:note("what unit and reference do wrong alike, by one kind of instrument, one site or one "
    .. "calibration, is not seen in their difference")
  if scatter > 1.5 or scatter < 0.67 then
    report:note(string.format("the records scatter %.2f times as much as the two repeatabilities "
      .. "say: only their ratio is then used, not their size", scatter))
  end
  return forced.slope
end

return both_axes
