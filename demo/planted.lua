-- What was planted in the invented data beside what the checks found: the counts of the ledger
-- must be equal, the values must agree within twice their stated standard uncertainty.

local planted, reasons = data.planted, data.reasons

-- Intervals that met a reason; a reason that no interval met is not in the ledger: none.
local function intervals(check, reason)
  for i = 1, #reasons.account do
    if reasons.account[i] == check and reasons.reason[i] == reason then
      return reasons.intervals[i]
    end
  end
  return 0
end

local function value(check, name)
  local t = data[check:gsub("%.", "_")] -- the table of a check by its id
  for i = 1, #t.name do
    if t.name[i] == name then return t.value[i], t.u[i] end
  end
  error(check .. " has no value '" .. name .. "'")
end

local name, want, got, twice, verdict = {}, {}, {}, {}, {}
local wrong = 0
for i = 1, #planted.name do
  local check = planted.check[i]
  name[i], want[i] = check .. ": " .. planted.name[i], planted.planted[i]
  if planted.kind[i] == "intervals" then
    got[i], twice[i] = intervals(check, planted.name[i]), 0
  else
    local x, u = value(check, planted.name[i])
    got[i], twice[i] = x, 2 * u
  end
  local found = math.abs(got[i] - want[i]) <= twice[i]
  verdict[i] = found and "found" or "NOT FOUND"
  if not found then wrong = wrong + 1 end
end

report:table("planted in " .. planted.unit[1], { columns = {
  { name = "what", values = name },
  { name = "planted", values = want },
  { name = "found", values = got },
  { name = "2 u", values = twice },
  { name = "verdict", values = verdict },
} })
if wrong > 0 then error(wrong .. " of " .. #name .. " were not found") end
