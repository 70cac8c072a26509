-- Wind shear and veer.
-- Power law of IEC 61400-12-1 (recalled, check your copy of the standard):
--
--   V(z) = V(H) * (z / H)^alpha
--
-- Two heights:      alpha = log(V2 / V1) / log(z2 / z1)
-- Three and more:   alpha = slope of the ordinary least-squares line of log V on log z
-- Veer:             (direction at the top - direction at the bottom) / (top - bottom), degrees per
--                   metre, positive when the wind turns clockwise with height

local shear = {}

local function log(x) return column.new({ x }):log()[1] end

--- Exponent and the intercept log V at z = 1 m, one value a record. `speeds` are columns, one a
--- height in m; a record that misses one of them has no exponent. With two heights the line
--- through both points is the first formula above.
function shear.power_law(speeds, heights)
  local n, x, mean = #heights, {}, 0
  if n < 2 then undefined("shear needs two heights at least") end
  if #speeds ~= n then error(string.format("shear: %d speeds for %d heights", #speeds, n)) end
  for j, z in ipairs(heights) do
    x[j] = log(z)
    mean = mean + x[j] / n
  end
  local spread = 0
  for j = 1, n do spread = spread + (x[j] - mean) ^ 2 end
  if spread == 0 then undefined("shear needs two different heights") end
  -- slope = sum (x - mean x) y / sum (x - mean x)^2: for fixed heights a weighted sum of columns
  local slope, middle
  for j = 1, n do
    local y = (speeds[j] / { 1, "m/s" }):log()
    local part, share = y * ((x[j] - mean) / spread), y / n
    slope = slope and slope + part or part
    middle = middle and middle + share or share
  end
  return slope, middle - slope * mean
end

--- The exponent alone.
function shear.exponent(speeds, heights)
  local slope = shear.power_law(speeds, heights)
  return slope
end

--- Speed at height `to` from the speed at height `from` (m); `alpha` a column or a number.
function shear.speed_at(speed, from, to, alpha)
  return speed * (alpha * log(to / from)):exp()
end

--- Veer in degrees per metre between two heights (m).
function shear.veer(top, bottom, z_top, z_bottom)
  if z_top <= z_bottom then error("veer: the top comes first, and is above the bottom") end
  return circular.difference(top, bottom) / { z_top - z_bottom, "m" }
end

--- Rotor-equivalent wind speed of IEC 61400-12-1 (recalled): ( sum V_i^3 A_i / A )^(1/3), with
--- `directions` V_i cos(direction_i - direction at hub). `areas` are the parts of the rotor's area
--- that each height stands for, in any one unit.
function shear.rotor_equivalent(speeds, areas, directions, hub)
  local whole, sum = 0, nil
  for i, area in ipairs(areas) do
    local v = speeds[i] / { 1, "m/s" }
    if directions then v = v * angle.cos(circular.difference(directions[i], hub)) end
    whole = whole + area
    sum = sum and sum + v ^ 3 * area or v ^ 3 * area
  end
  return (sum / whole) ^ (1 / 3) * { 1, "m/s" }
end

return shear
