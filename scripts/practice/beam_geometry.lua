-- Directions of beams. Axes of the unit: x forward (upwind), y left, z up. Azimuth is positive to
-- the left, elevation upwards; tilt (pitch) is positive nose up, roll positive right side down
-- looking forward. IEC 61400-50-3 clauses 7.2 and 7.3 (titles seen, text not); formulas recalled:
--
--   n  = (cos az cos el, sin az cos el, sin el)              in the unit's axes
--   n' = R_y(-tilt) R_x(roll) n                              in level axes
--   R_x(r) = [1 0 0; 0 cos r -sin r; 0 sin r cos r],  R_y(-p) = [cos p 0 -sin p; 0 1 0; sin p 0 cos p]

local geometry = {}

local function length(n)
  return math.sqrt(n[1] * n[1] + n[2] * n[2] + n[3] * n[3])
end

--- The unit vector of azimuth and elevation.
function geometry.vector(azimuth, elevation)
  return { angle.cos(azimuth) * angle.cos(elevation), angle.sin(azimuth) * angle.cos(elevation),
           angle.sin(elevation) }
end

--- From the unit's axes to level axes.
function geometry.levelled(n, tilt, roll)
  local y = angle.cos(roll) * n[2] - angle.sin(roll) * n[3]
  local z = angle.sin(roll) * n[2] + angle.cos(roll) * n[3]
  return { angle.cos(tilt) * n[1] - angle.sin(tilt) * z, y,
           angle.sin(tilt) * n[1] + angle.cos(tilt) * z }
end

--- The inverse: from level axes to the unit's.
function geometry.in_unit(n, tilt, roll)
  local x = angle.cos(tilt) * n[1] + angle.sin(tilt) * n[3]
  local z = angle.cos(tilt) * n[3] - angle.sin(tilt) * n[1]
  return { x, angle.cos(roll) * n[2] + angle.sin(roll) * z,
           angle.cos(roll) * z - angle.sin(roll) * n[2] }
end

function geometry.azimuth(n) return angle.atan2(n[2], n[1]) end

function geometry.elevation(n)
  return angle.atan2(n[3], math.sqrt(n[1] * n[1] + n[2] * n[2]))
end

--- The angle between two directions, exact for small ones too: atan2(|a x b|, a . b).
function geometry.between(a, b)
  local cross = { a[2] * b[3] - a[3] * b[2], a[3] * b[1] - a[1] * b[3], a[1] * b[2] - a[2] * b[1] }
  return angle.atan2(length(cross), a[1] * b[1] + a[2] * b[2] + a[3] * b[3])
end

--- The mean direction of a list of vectors of any length, each counting alike, and the largest
--- angle of one of them from it.
function geometry.mean(list)
  local sum = { 0, 0, 0 }
  for _, n in ipairs(list) do
    local l = length(n)
    if l == 0 then error("a spot lies at the lens") end
    for k = 1, 3 do sum[k] = sum[k] + n[k] / l end
  end
  local l = length(sum)
  if l < 1e-9 then undefined("the spots of a beam cancel") end
  local mean, far = { sum[1] / l, sum[2] / l, sum[3] / l }, 0
  for _, n in ipairs(list) do far = math.max(far, geometry.between(n, mean)) end
  return mean, far
end

return geometry
