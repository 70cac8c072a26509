-- The wind from line-of-sight speeds, beyond what `reconstruct.wind` does: two heights, what an
-- error of the angles does, and the signs.
-- After IEC 61400-50-3 (7.6 and annex A, recalled, check your copy of the standard). Yaw
-- misalignment gamma is positive when the wind comes from the left of the axis, looking upwind:
--
--   compass direction of the wind = heading of the axis - gamma
--
-- Some reports use the opposite sign.

local wind_field = {}

local DEGREE = math.pi / 180

--- Where the wind comes from, 0 to 360, from heading and yaw misalignment (numbers or columns).
function wind_field.compass(heading, misalignment)
  local d = circular.difference(heading, misalignment)
  if type(d) == "number" then return d % 360 end
  return circular.difference(d - { 180, "degree" }, 0) + { 180, "degree" }
end

--- Two winds of one record at two heights become that at `height`: speed by the power law between
--- them, direction and veer linear. `lower` and `upper` are results of `reconstruct.wind`:
---   alpha = log(V_up / V_lo) / log(z_up / z_lo)    V = V_lo (height / z_lo)^alpha
---   gamma linear in z                              veer = (gamma_up - gamma_lo) / (z_up - z_lo)
function wind_field.between(lower, z_lower, upper, z_upper, height)
  local shear = require "practice.shear"
  local alpha = shear.exponent({ lower.speed, upper.speed }, { z_lower, z_upper })
  local turned = circular.difference(upper.direction, lower.direction)
  local share = (height - z_lower) / (z_upper - z_lower)
  return {
    shear = alpha,
    speed = shear.speed_at(lower.speed, z_lower, height, alpha),
    direction = circular.difference(lower.direction + turned * share, 0),
    veer = turned / { z_upper - z_lower, "m" },
  }
end

--- Change of the speed of two level beams by an error of the half opening angle alpha, in the unit
--- of the speed per degree: dV/dalpha = (u^2 tan alpha - v^2 / tan alpha) / V.
function wind_field.opening_sensitivity(u, v, half_opening)
  local t = angle.tan(half_opening)
  return (u * u * t - v * v / t) / (u * u + v * v) ^ 0.5 * DEGREE
end

-- A beam with its angle to the axis wider by `open` degrees: on a nacelle away from the plane ahead,
-- of a profiler farther from the vertical (which a vertical beam cannot be).
local function opened(b, frame, open)
  local moved = { azimuth = b.azimuth, elevation = b.elevation, zenith = b.zenith, height = b.height }
  if frame == "earth" then
    local zenith = b.zenith or 90 - b.elevation
    if zenith ~= 0 then moved.zenith, moved.elevation = zenith + open, nil end
  else
    moved.azimuth = b.azimuth + (b.azimuth > 0 and open or b.azimuth < 0 and -open or 0)
  end
  return moved
end

--- What an error of one degree in each angle does to speed (its unit per degree) and direction
--- (degrees per degree) of any set of beams, by central differences of a hundredth of a degree: all
--- beams opened alike, the tilt, and of a profiler the roll. `options` as of `reconstruct.wind`.
function wind_field.sensitivities(beams, speeds, options)
  local STEP = 0.01
  local function with(open, turn)
    local moved, o = {}, {}
    for i, b in ipairs(beams) do moved[i] = opened(b, options.frame, open) end
    for k, v in pairs(options) do o[k] = v end
    for name, by in pairs(turn) do
      local at = options[name]
      o[name] = (at == nil or type(at) == "number") and (at or 0) + by or at + { by, "degree" }
    end
    return reconstruct.wind(moved, speeds, o)
  end
  local function slope(a, b)
    return { speed = (a.speed - b.speed) / (2 * STEP),
             direction = circular.difference(a.direction, b.direction) / (2 * STEP) }
  end
  return { opening = slope(with(STEP, {}), with(-STEP, {})),
           tilt = slope(with(0, { tilt = STEP }), with(0, { tilt = -STEP })),
           roll = options.frame == "earth"
             and slope(with(0, { roll = STEP }), with(0, { roll = -STEP })) or nil }
end

return wind_field
