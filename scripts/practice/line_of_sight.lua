-- Calibration of a line-of-sight speed against a cup and a vane.
-- IEC 61400-50-3:2022, clause 7.5 (title and structure seen, text not), by the public method of
-- DTU Wind Energy: Borraccino, Courtney, Wagner, Remote Sens. 8(11), 907 (2016), and the reports
-- E-0020, E-0086, E-0087 (abstract seen; formulas and procedure recalled, check your copy).
--
-- Speeds are positive towards the lidar. Directions are degrees from which the wind comes, in the
-- vane's own frame, so that its north mark drops out. V horizontal reference speed, theta its
-- direction, phi the tilt of the beam, theta_LOS the direction of the beam, v the line-of-sight
-- speed:
--
--   B1  coarse   v / (V cos phi) = a cos(theta - theta_LOS) (+ b),  or a |cos(...)| (+ b)
--   B2  scan     x(psi) = V cos phi cos(theta - psi);  RSS(psi) = sum (v - gain(psi) x(psi))^2;
--                parabola c0 + c1 t + c2 t^2 through all RSS of the scan, t = psi - centre;
--                theta_LOS = centre - c1 / (2 c2),  u^2 = s^2 / c2,  s^2 = RSS_min / (N - 2)
--   C   project  V_ref = V cos phi cos(theta - theta_LOS)
--   D   relation v = gain V_ref, forced, over the means of the complete bins of V_ref
--
-- RSS is no parabola, so its vertex misses the smallest RSS by some 1e-4 degree even without
-- noise; the scan gives both. Pairs with a missing value are left out. A tilt that is not given is
-- 0, a half_width 1 degree, a step 0.1 degree, a width 0.5 m/s, at_least 3 records.

local los = {}

-- Columns of a free script may come without a unit: they are m/s and degrees then.
local function with_unit(col, unit)
  if col.unit == "1" then return col * { 1, unit } end
  return col:to(unit)
end

local function inputs(ref_speed, ref_direction, los_speed)
  return with_unit(ref_speed, "m/s"), with_unit(ref_direction, "degree"),
    with_unit(los_speed, "m/s")
end

-- Options by name: a slip is an error, not a default.
local function known(o, names, what)
  for name in pairs(o) do
    if not names[name] then error(what .. " has no option '" .. tostring(name) .. "'", 3) end
  end
end

local function needed(o, name, what)
  if type(o[name]) ~= "number" then error(what .. " needs the number '" .. name .. "'", 3) end
  return o[name]
end

--- The part of a horizontal speed that a beam of this tilt and direction sees.
function los.project(ref_speed, ref_direction, tilt, direction)
  return ref_speed * angle.cos(tilt) * angle.cos(circular.difference(ref_direction, direction))
end

--- Where the records lie that a scan or a calibration uses: lowest <= V <= highest and
--- |theta - centre| <= half_sector. Ends are included; nil asks for nothing.
function los.selected(ref_speed, ref_direction, o)
  local mask = ~(ref_speed:missing() | ref_direction:missing())
  if o.lowest then mask = mask & ~ref_speed:below(o.lowest, "m/s") end
  if o.highest then mask = mask & ~ref_speed:above(o.highest, "m/s") end
  if o.half_sector then
    local off = circular.difference(ref_direction, o.centre):abs()
    mask = mask & ~off:above(o.half_sector, "degree")
  end
  return mask
end

--- B1. A result of fit.cosine: direction, amplitude, offset (where asked for) and their _u.
--- `near` chooses between the two directions of a rectified fit.
function los.coarse(ref_speed, ref_direction, los_speed, o)
  o = o or {}
  known(o, { tilt = 1, rectified = 1, offset = 1, near = 1 }, "los.coarse")
  local V, theta, v = inputs(ref_speed, ref_direction, los_speed)
  return fit.cosine(theta, v / (V * angle.cos(o.tilt or 0)),
    { rectified = o.rectified, offset = o.offset, near = o.near })
end

-- The candidates centre - half_width ... centre + half_width, and their distance t from it.
local function candidates(o)
  local steps = o.half_width / o.step
  local n = math.floor(steps + 0.5)
  if n < 1 or math.abs(steps - n) > 1e-6 then
    error("los.scan: half_width is not a whole number of steps", 3)
  end
  local t, psi = {}, {}
  for k = -n, n do
    t[#t + 1] = o.half_width * k / n
    psi[#psi + 1] = o.centre + t[#t]
  end
  return column.new(t, "degree"), column.new(psi, "degree")
end

-- Least-squares parabola through the scan: coefficients by power of t.
local function parabola(t, rss)
  local f = fit.least_squares(rss, { linear = t, square = t * t })
  return f.coefficients.intercept, f.coefficients.linear, f.coefficients.square
end

--- B2. `centre` is the coarse direction, also of the sector. Gives direction (vertex of the
--- parabola), continuous (where RSS is smallest), direction_u (of the vertex), rows, and n,
--- left_out, rss (the smallest), continuous_u, parabola, gain and offset at the minimum.
function los.scan(ref_speed, ref_direction, los_speed, o)
  known(o, { centre = 1, half_width = 1, step = 1, tilt = 1, half_sector = 1, lowest = 1,
    highest = 1, intercept = 1 }, "los.scan")
  needed(o, "centre", "los.scan")
  local span = { centre = o.centre, half_width = o.half_width or 1, step = o.step or 0.1 }
  local V, theta, v = inputs(ref_speed, ref_direction, los_speed)
  local use = los.selected(V, theta, o)
  V, theta, v = V:where(use), theta:where(use), v:where(use)

  local t, psi = candidates(span)
  local s = fit.scan(theta, V * angle.cos(o.tilt or 0), v, { at = psi, offset = o.intercept })
  local c0, c1, c2 = parabola(t, s.rss_at)
  if c2 <= 0 then undefined("the scan of directions has no smallest residual") end
  local vertex = -c1 / (2 * c2)
  if math.abs(vertex) > span.half_width then
    undefined(string.format("the smallest residual lies outside the scan of %g +- %g degrees",
      span.centre, span.half_width))
  end
  local rows = {}
  for i = 1, #psi do
    rows[i] = { direction = psi[i] % 360, rss = s.rss_at[i], gain = s.gain_at[i],
                offset = o.intercept and s.offset_at[i] or nil }
  end
  return {
    direction = (span.centre + vertex) % 360, direction_u = math.sqrt(s.rss / s.dof / c2),
    continuous = s.direction, continuous_u = s.direction_u,
    n = s.n, left_out = s.left_out, rss = s.rss, rss_at = s.rss_at, at = psi, gain = s.gain,
    offset = o.intercept and s.offset or nil, rows = rows,
    parabola = { c0, c1, c2 }, vertex = vertex,
  }
end

-- Forced and free fit over one set of points; the free one only when it is asked for.
local function relation(x, y, forced)
  local own = { gain = forced.slope, gain_u = forced.slope_u, through_origin = forced }
  return setmetatable(own, { __index = function(_, name)
    if name == "line" then return fit.line(x, y) end
    return forced[name]
  end })
end

-- Bins of width `width` that hold all of the column; centres in decimals.
local function spread(x, width)
  local function centre(value)
    return tonumber(string.format("%.10g", math.floor(value / width + 0.5) * width))
  end
  return centre(x:min()), centre(x:max())
end

--- C and D. `lowest` and `highest` select by V as in the scan; bins hold every V_ref unless
--- lowest_bin and highest_bin say which. The sector is around `direction` unless `centre` says
--- otherwise. Gives gain and gain_u (forced, bin means), records and bin_means (each with slope,
--- slope_u, residual_sd, r2_..., and line, the free fit), rows (one a bin), comparison,
--- projected (V_ref of the records used), used (their mask over the records given) and bins. Where
--- the reference scatters by itself, `adjust(V_ref, v, V)` gives what sorts the records into bins
--- instead of V_ref (practice/both_axes.lua), or nil.
function los.calibrate(ref_speed, ref_direction, los_speed, o)
  known(o, { direction = 1, tilt = 1, half_sector = 1, centre = 1, width = 1, lowest = 1,
    highest = 1, at_least = 1, lowest_bin = 1, highest_bin = 1, adjust = 1 }, "los.calibrate")
  needed(o, "direction", "los.calibrate")
  local width = o.width or 0.5
  local V, theta, v = inputs(ref_speed, ref_direction, los_speed)
  local use = los.selected(V, theta, { lowest = o.lowest, highest = o.highest,
    half_sector = o.half_sector, centre = o.centre or o.direction })
  local pair = use & ~v:missing()
  local x, y = los.project(V:where(pair), theta:where(pair), o.tilt or 0, o.direction),
    v:where(pair)
  if #x == 0 then undefined("no record lies in the sector and the range of speeds") end
  local key = o.adjust and o.adjust(x, y, V:where(pair)) or x
  local low, high = spread(key, width)
  local c = compare.by_bin(y, x, { width = width, lowest = o.lowest_bin or low,
    highest = o.highest_bin or high, at_least = o.at_least or 3 }, key)
  local forced = c.through_origin.bin_means
  local means_x, means_y = c.reference_mean, c.measured_mean
  return {
    gain = forced.slope, gain_u = forced.slope_u,
    records = relation(x, y, fit.through_origin(x, y)),
    bin_means = relation(means_x, means_y, forced),
    rows = c.rows, comparison = c, bins = c.bins, projected = x, used = pair,
    left_out = (use & v:missing()):count(),
  }
end

--- The corrected line-of-sight speed.
function los.corrected(los_speed, gain)
  return los_speed / gain
end

return los
