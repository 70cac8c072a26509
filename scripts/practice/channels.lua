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

return channels
