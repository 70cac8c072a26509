-- The intervals of a check: excluding, cutting, accounts, phases, days.
local check = {
  title = "accounts", practice = "a test",
  parameters = {
    lowest = { 4, "m/s", "set by the campaign to 6" },
    highest = { 16, "m/s", "left alone" },
  },
}

function check.run(campaign, p, report)
  print(p.lowest, p.highest, pcall(function() return p.lowets end))
--> 6	16	false	campaign/checks/account.lua:11: the check has no parameter 'lowets'
  print(campaign.title, campaign.lens[1], campaign.lens[2], campaign.lens.u, campaign.nothing)
--> an invented campaign	2.1	m	0.02	nil
  print(#campaign.sources, campaign.sources[1].name, campaign.sources[1].role, campaign.sources[2].position.east)
--> 2	lidar	unit	228
  print(pcall(function() campaign.title = "x" end))
--> false	campaign/checks/account.lua:17: the campaign is read-only

  local r = campaign.intervals
  print(#r, r.interval, r.name, r.time[1], r.time[12])
--> 12	600.0	intervals	1772492400.0	1772499000.0
  local days = r:days()
  print(#days, days[1].date, days[1].mask:count(), days[2].date, days[2].mask:count())
--> 2	2026-03-02	6	2026-03-03	6
  local phase = campaign:phase{ beam = 2 }
  print(phase.name, r:during(phase):count(), campaign.phase.name, #campaign.phases)
--> beam 2	6	nil	2
  print(pcall(function() return campaign:phase{ range = 140 } end))
--> false	campaign/checks/account.lua:29: phase: 2 of the campaign's 2 phases match; exactly one must

  local V = r.reference:find{ quantity = "wind_speed", use = "primary" }
  local S = r.unit:find{ quantity = "wind_speed" }.mean
  print(V, V.name, V.height, V.unit, V:gives("sd"), V:gives("max"), V.beam)
--> mast.v_top (wind_speed, 8.9 m, primary)	v_top	8.9	m s-1	true	false	nil
  print(pcall(function() return V.max end))
--> false	campaign/checks/account.lua:36: 'mast.v_top' has no 'max'
  print(#r.reference:all{}, #r.reference:all{ quantity = "air_temperature" })
--> 3	0
  print(pcall(function() return r.reference:find{ quantity = "wind_speed" } end))
--> false	campaign/checks/account.lua:40: the reference has 2 channels with quantity = wind_speed; find needs exactly one
  local _, e = pcall(function() return r.reference:find{ quantity = "wind_speed", height = 80 } end)
  print(e.message, e.hint)
--> the reference has no channel with quantity = wind_speed, height = 80	there are mast.v_top (wind_speed, 8.9 m, primary); mast.v_low (wind_speed, 7.4 m, control)
  print(r.unit:at{ beam = 2, range = 140 }.los_speed.mean[1])
--> 4.8
  print(pcall(function() return r.unit:at{ beam = 2 }.los_sped end))
--> false	campaign/checks/account.lua:47: there is no channel 'los_sped' here

  r:need(V.count, V.count)
  r:exclude("low", V.mean:below(p.lowest, "m/s"))
  print(pcall(function() r:exclude("low", V.mean:missing()) end))
--> false	campaign/checks/account.lua:52: the reason 'low' is already used in this account
  local far = r:so_far(V.mean)
  print(#far, far[1])
--> 9	6.0
  local other = campaign:account("two")
  print(pcall(function() return other:kept(V.count) end))
--> false	campaign/checks/account.lua:58: kept: argument 1 (mast.v_top count) is missing in 1 of 11 kept intervals

  local v, s, m = r:kept(V.mean, S, V.mean:above(10, "m/s"))
  print(#v, #s, #m, v[1], s[1], m:count())
--> 9	9	9	6.0	6.5	5
  print(pcall(function() r:exclude("late", V.mean:missing()) end))
--> false	campaign/checks/account.lua:64: exclude: the account 'intervals' is closed: kept(...) was called before
  print(pcall(function() r:kept(v) end))
--> false	campaign/checks/account.lua:66: kept: argument 1: a column of 9 rows that is not the grid's (12 rows)
  print(pcall(function() return r.tme end))
--> false	campaign/checks/account.lua:68: intervals have no 'tme'
  report:value("mean", v:mean(), { unit = "m s-1" })
end

--~ "accounts":[{"name":"intervals","exclusions":[{"reason":"mast.v_top count missing"
--~ "rule":"mast.v_top.count missing","looks_at":["mast.v_top.count"]
--~ "rule":"mast.v_top.mean below 6 m/s","looks_at":["mast.v_top.mean"]
--~ {"name":"two","exclusions":[]
--~ "states":"xxuxuuuuuuuu"
--~ "states":"xuuuuuuuuuuu"
return check
