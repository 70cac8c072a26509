-- Prints the table that a campaign file returns as JSON, the way the cell hands it over: keys
-- 1..n alone make a list, other tables a map with sorted keys.
local function number(x)
  if math.tointeger(x) then return string.format("%d", x) end
  for digits = 1, 17 do
    local text = string.format("%." .. digits .. "g", x)
    if tonumber(text) == x then return text end
  end
end

local function plain(v)
  if type(v) == "string" then return string.format("%q", v) end
  if type(v) == "number" then return number(v) end
  local keys, count = {}, 0
  for k in pairs(v) do keys[#keys + 1] = tostring(k); count = count + 1 end
  local out = {}
  if count == #v then
    for i = 1, #v do out[i] = plain(v[i]) end
    return "[" .. table.concat(out, ",") .. "]"
  end
  table.sort(keys)
  for i, k in ipairs(keys) do
    local item = v[k]
    if item == nil then item = v[math.tointeger(k)] end
    out[i] = string.format("%q:%s", k, plain(item))
  end
  return "{" .. table.concat(out, ",") .. "}"
end

local t = dofile(arg[1])
t.sources.lidar.prepare = { nodes = { { op = "channel", name = "status" },
                                      { op = "has", a = 1, name = "window wet" } },
                            adds = {},
                            drops = { { reason = "window wet", mask = 2, channels = { "los_speed" } } } }
print(plain(t))
