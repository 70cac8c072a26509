-- By what rule intervals are excluded, in words and with the columns that were looked at; what is
-- compared in those that stay.
local check = { title = "rules", practice = "a test", parameters = { lowest = { 4, "m/s", "lowest" } } }

function check.run(campaign, _, report)
  local r = campaign.intervals
  local V = r.reference:find{ quantity = "wind_speed", use = "primary" }
  local S = r.unit:find{ quantity = "wind_speed" }.mean
  local L = r.unit:at{ beam = 2, range = 140 }.los_speed.mean

  r:exclude("a", V.mean:below(4, "m/s") | S:above({ 16, "m/s" }))
--~ "rule":"mast.v_top.mean below 4 m/s or lidar.wind_speed.mean above 16 m/s","looks_at":["mast.v_top.mean","lidar.wind_speed.mean"]
  r:exclude("b", (V.mean:below(1, "m/s") | V.sd:above(9, "m/s")) & ~L:between(-9, 40, "m/s"))
--~ "rule":"(mast.v_top.mean below 1 m/s or mast.v_top.sd above 9 m/s) and not (beams.los_speed@beam=2,range=140.mean from -9 to 40 m/s)","looks_at":["mast.v_top.mean","mast.v_top.sd","beams.los_speed@beam=2,range=140.mean"]
  r:exclude("c", (S - V.mean):abs():above(7, "m/s"))
--~ "rule":"abs(lidar.wind_speed.mean - mast.v_top.mean) above 7 m/s","looks_at":["abs(lidar.wind_speed.mean - mast.v_top.mean)"]
  -- other numbers under the same words have a name of their own
  local usual = S:median()
  for i = 1, 2 do
    local odd = column.new({ i, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 }, "m/s")
    r:exclude("d" .. i, odd:above(100, "m/s"), { unknown = "keep" })
  end
--~ "rule":"computed in campaign/checks/origin.lua:21 above 100 m/s","looks_at":["computed in campaign/checks/origin.lua:21"]
--~ "rule":"computed in campaign/checks/origin.lua:21 above 100 m/s","looks_at":["computed in campaign/checks/origin.lua:21 (2)"]
  r:exclude("e", (S:to("km/h")):above(100, "km/h"):grow(1))
--~ "rule":"(lidar.wind_speed.mean in km/h above 100 km/h) within 1 intervals","looks_at":["(lidar.wind_speed.mean in km/h)"]
  r:exclude("f", r:during(campaign:phase{ beam = 2 }) & (S - { usual, "m/s" }):above(50, "m/s"))
--~ "rule":"within 2026-03-03T00:00:00Z to 2026-03-03T01:00:00Z and lidar.wind_speed.mean - 10 m/s above 50 m/s"
  r:exclude("g", V.mean:unchanged(5) | r:days()[1].mask & V.mean:missing())
--~ "rule":"mast.v_top.mean unchanged, intervals in a row at least 5 or (on 2026-03-02 and mast.v_top.mean missing)","looks_at":["mast.v_top.mean"]
  local long = V.mean
  for _ = 1, 40 do long = long + V.mean end
  r:exclude("h", long:below(-1, "m/s"))
--~ "rule":"(((((computed in campaign/checks/origin.lua:32 + mast.v_top.mean) + mast.v_top.mean) +
--~ "judged":[{"name":"abs(lidar.wind_speed.mean - mast.v_top.mean)","unit":"m s-1","at":

  local v, s = r:kept(V.mean, S)
  local c = compare.by_bin(s, v, { width = 2, lowest = 2, highest = 16 })
  r:binned(c.bins)
--~ "compared":{"binned_by":"mast.v_top.mean","bin_unit":"m s-1","bin_at":
--~ "measured":"lidar.wind_speed.mean","reference":"mast.v_top.mean","unit":"m s-1","deviation_unit":"m s-1"
  print(pcall(function() r:compared(s, v:where(v:above(8, "m/s"))) end))
--> false	campaign/checks/origin.lua:42: compared: a column of 7 rows, the account kept 11
  report:value("kept", #v, { unit = "1" })
end

return check
