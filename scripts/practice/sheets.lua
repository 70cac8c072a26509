-- Bench sheets: the campaign's `tables`, which lie on no time grid. Their columns have no units;
-- each check says which it expects.

local sheets = {}

--- The sheet `name` of the campaign, or nil where it has none.
function sheets.find(campaign, name)
  local tables = campaign.tables
  if not tables then return nil end
  for key, sheet in pairs(tables) do
    if key == name then return sheet end
  end
  return nil
end

--- The column `name` of a sheet, or nil.
function sheets.column(sheet, name)
  for key, col in pairs(sheet) do
    if key == name then return col end
  end
  return nil
end

--- The different numbers of a column in rising order.
function sheets.distinct(col)
  local list, seen = {}, {}
  for i = 1, #col do
    local x = col[i]
    if x ~= missing and not seen[x] then
      seen[x] = true
      list[#list + 1] = x
    end
  end
  table.sort(list)
  return list
end

return sheets
