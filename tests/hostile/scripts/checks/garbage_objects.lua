-- The objects of a check with whatever a stranger may hand them.
--! undefined: x
local check = { title = "t", parameters = { lowest = { 4, "m/s", "x" } } }
function check.run(campaign, p, report)
  local r = campaign.intervals
  local v = r.reference:find{ quantity = "wind_speed", use = "primary" }
  local loop = {}
  loop.loop = loop
  local values = {
    -1, 0, 3, 2 ^ 62, 0 / 0, "", "x", "mean", "\0", ("a"):rep(300), true, missing, {}, { 1 }, { quantity = {} },
    { quantity = 3 }, { height = "x" }, { beam = 1 }, { beam = {} }, { from = 1, to = 2 }, { from = "x", to = "y" },
    { from = "2026-03-02T23:00:00Z", to = "1000-01-01T00:00:00Z" }, loop, type, r, r.reference, v, v.mean,
    v.mean:missing(), v.mean:where(v.mean:above(6, "m/s")), campaign, campaign.phase, p, report,
    bin.by(v.mean, { width = 1, lowest = 4, highest = 8, at_least = 1 }),
  }
  local names = {
    "exclude", "need", "so_far", "binned", "during", "days", "find", "all", "at", "gives", "account", "phase", "share",
    "time", "interval", "mean", "sd", "count", "value", "require", "table", "figure",
  }
  for round = 1, 2 do
    for _, object in ipairs({ r, r.reference, v, campaign, campaign:account("other") }) do
      for _, name in ipairs(names) do
        local ok, f = pcall(function() return object[name] end)
        if ok and (type(f) == "function" or name == "phase") then
          for i = 1, #values do
            local k = values[i * 7 % #values + 1]
            pcall(f, values[i])
            pcall(f, object, values[i])
            pcall(f, object, "reason " .. round .. name .. i, values[i], k)
            pcall(f, object, values[i], k, values[i * 5 % #values + 1])
          end
        end
      end
      for i = 1, #values do
        pcall(function() return object[values[i]] end)
        pcall(function() object[values[i]] = 1 end)
        pcall(function() return object .. values[i] end)
      end
      print(getmetatable(object))
    end
    pcall(r.kept, r, v.mean)
  end
  undefined("x")
end
--> locked
--> locked
--> locked
--> locked
--> locked
--> locked
--> locked
--> locked
--> locked
--> locked
return check
