-- Scalar and vector means of the wind. A cup's mean is scalar, mean(|V|); what is reconstructed from
-- beams over an interval is closer to the vector mean, |mean(V)|, which is smaller. Compare like
-- with like, or know the difference (common practice, textbook):
--
--   vector / scalar ~ exp(-s^2 / 2),   s the standard deviation of the direction in radians

local averaging = {}

--- Scalar mean of a column of speeds.
function averaging.scalar(speed)
  return speed:mean()
end

--- Vector mean: speed, and direction from which the wind comes (0 to 360); the direction is
--- undefined where the vectors cancel.
function averaging.vector(speed, direction)
  local east, north = (speed * angle.sin(direction)):mean(), (speed * angle.cos(direction)):mean()
  local length = math.sqrt(east * east + north * north)
  if length <= 1e-9 * speed:abs():mean() then undefined("the wind vectors cancel: no direction") end
  return length, angle.atan2(east, north) % 360
end

--- What a vector mean is of the scalar one for a standard deviation of the direction in degrees.
function averaging.ratio(direction_sd)
  local s = direction_sd * math.pi / 180
  return column.new({ -s * s / 2 }):exp()[1]
end

return averaging
