-- Which channel a comparison uses.
-- Common practice, no source: where several instruments measure one quantity, one of them is
-- named the primary beforehand; nobody picks the best-looking one afterwards.

local channels = {}

--- The channel of a quantity: the only one, or the one that the campaign marks as primary.
--- With several and none (or more than one) marked, the error lists the candidates.
function channels.main(role, quantity)
  local all = role:all{ quantity = quantity }
  if #all == 1 then return all[1] end
  return role:find{ quantity = quantity, use = "primary" }
end

--- The same, or nil where the role has no such quantity at all.
function channels.if_any(role, quantity)
  if #role:all{ quantity = quantity } == 0 then return nil end
  return channels.main(role, quantity)
end

--- The channel of a quantity at a height in m; with height 0 the one of `main`.
function channels.at(role, quantity, height)
  if height == 0 then return channels.main(role, quantity) end
  local all = role:all{ quantity = quantity, height = height }
  if #all == 1 then return all[1] end
  return role:find{ quantity = quantity, height = height, use = "primary" }
end

--- What is compared: the reference's channel at a height in m (0: its main one) and the unit's
--- beside it. Where the unit has several, it is the one at the reference's height, if there is one.
function channels.pair(r, quantity, height)
  local reference = channels.at(r.reference, quantity, height)
  local at = height
  if height == 0 and reference.height and #r.unit:all{ quantity = quantity } > 1
     and #r.unit:all{ quantity = quantity, height = reference.height } > 0 then
    at = reference.height
  end
  return reference, channels.at(r.unit, quantity, at)
end

--- Says where the two that are compared do not stand at one height: nothing corrects for it.
function channels.say_heights(report, reference, unit)
  if reference.height and unit.height and reference.height ~= unit.height then
    report:note(string.format("the reference stands at %g m, the unit measures at %g m: the "
      .. "difference is not corrected", reference.height, unit.height))
  end
end

--- One channel for each height at which a role measures a quantity, lowest first. Where several
--- stand at one height, the one marked primary is taken; none marked is an error.
function channels.by_height(role, quantity)
  local heights, seen = {}, {}
  for _, c in ipairs(role:all{ quantity = quantity }) do
    if c.height and not seen[c.height] then
      seen[c.height] = true
      heights[#heights + 1] = c.height
    end
  end
  table.sort(heights)
  local list = {}
  for i, height in ipairs(heights) do list[i] = channels.at(role, quantity, height) end
  return list
end

return channels
