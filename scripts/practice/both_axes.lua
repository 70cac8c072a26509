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

-- Standard uncertainties u_x, u_y of the single records as the instruments of the channels state
-- them. Nothing where the reference states none: it is then taken as exact, but for a lidar, of
-- which that is not true: the check says so and cannot decide.
local function stated(campaign, report, ref, unit, x, y)
  local u_x, u_y = repeatability(campaign, ref, x), repeatability(campaign, unit, y)
  if u_x and u_y then return u_x, u_y end
  if u_x or reference.is_lidar(campaign, ref) then
    local absent = {}
    if not u_x then absent[1] = named(ref) end
    if not u_y then absent[#absent + 1] = named(unit) end
    report:inconclusive("the reference scatters by itself, and the campaign does not state by how "
      .. "much: " .. table.concat(absent, " and "))
  end
end

--- The fits of y on x, columns, with the standard uncertainties u_x, u_y of each record and the
--- correlation of the two errors in one record.
function both_axes.fit(x, y, u_x, u_y, correlation)
  local o = { u_x = u_x, u_y = u_y, correlation = correlation, through_origin = true }
  local forced = fit.york(x, y, o)
  o.through_origin = false
  local b, r = forced.slope, correlation
  local share = (u_x * u_x * b - u_x * u_y * r)
    / (u_y * u_y + u_x * u_x * (b * b) - u_x * u_y * (2 * b * r))
  local ratio = (u_y * u_y):mean() / (u_x * u_x):mean()
  return {
    forced = forced, free = fit.york(x, y, o), deming = fit.deming(x, y, { ratio = ratio }),
    ratio = ratio, adjusted = x + (y - x * b) * share,
    scatter = math.sqrt(forced.chi2 / forced.dof),
    dilution = (u_x * u_x):mean() / (x * x):mean(),
  }
end

--- Do two channels, reference and unit, with their columns x and y have errors on both axes? Then
--- `fit(mask)`, the fits of the records under the mask (none: all); else nil.
function both_axes.of(campaign, report, ref, unit, x, y, correlation)
  local u_x, u_y = stated(campaign, report, ref, unit, x, y)
  if not u_x then return nil end
  return { fit = function(mask)
    if not mask then return both_axes.fit(x, y, u_x, u_y, correlation) end
    return both_axes.fit(x:where(mask), y:where(mask), u_x:where(mask), u_y:where(mask), correlation)
  end }
end

--- Says what was fitted, what decides and why. `ordinary` is the ordinary forced slope of the same
--- records. The stated u are scaled up where the records scatter by more, never down.
function both_axes.report(report, f, ordinary, unit_name)
  local widen = math.max(1, f.scatter)
  report:value("forced slope, errors on both axes", f.forced.slope,
    { unit = "1", u = f.forced.slope_u * widen, text = "York, through the origin, records" })
  report:value("free slope, errors on both axes", f.free.slope,
    { unit = "1", u = f.free.slope_u * widen, text = "York, records" })
  report:value("free intercept, errors on both axes", f.free.intercept,
    { unit = unit_name, u = f.free.intercept_u * widen })
  report:value("free slope, Deming", f.deming.slope, { unit = "1", u = f.deming.slope_u,
    text = string.format("ratio of the variances, unit by reference: %.4g", f.ratio) })
  report:value("scatter by what is stated", f.scatter,
    { unit = "1", text = "root of York's chi squared over its degrees of freedom" })
  report:note(string.format("the reference scatters by itself: the ordinary forced slope of the "
    .. "records, %.5f, is too small by about %.3f %%; the slope with errors on both axes decides, "
    .. "and bins are those of the speed that it adjusts", ordinary, 100 * f.dilution))
  report:note("what unit and reference do wrong alike, by one kind of instrument, one site or one "
    .. "calibration, is not seen in their difference")
  if f.scatter > 1.5 or f.scatter < 0.67 then
    report:note(string.format("the records scatter %.2f times as much as the two repeatabilities "
      .. "say: only their ratio is then used, not their size", f.scatter))
  end
end

return both_axes
