-- Quantities as campaign files write them: a number in the unit that is asked for, or
-- { 2.10, "m", u = 0.02, source = "sheet 12" } in any unit of that kind.

local stated = {}

--- Value, standard uncertainty and source in `unit`; nil for what is not there.
function stated.read(q, unit)
  if q == nil or type(q) == "number" then return q end
  local function convert(x)
    return x and column.new({ x }, q[2]):to(unit)[1]
  end
  return convert(q[1]), convert(q.u), q.source
end

return stated
