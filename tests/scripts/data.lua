-- The tables of a free script: numbers, times, texts.
local t = data.bench
print(#t.speed, t.speed[1], t.speed[2], t.speed.unit, t.time.unit, t.time[1])
--> 3	4.5	missing	1	s	1772492400.0
print(t.state[1], t.state[2], #t.state, t.state:equals("ok"):count(), t.state:equals("ok"):count("unknown"))
--> ok	missing	3	1	1
-- The one column of times gives the others theirs: two days.
print(bin.by(t.speed, { edges = { 4, 7 }, at_least = 1 }).days[1])
--> 2.0
local function refused(f) print(select(2, pcall(f)).message) end
refused(function() return t.state + 1 end)
refused(function() return 2 * t.state end)
refused(function() return t.state:mean() end)
refused(function() return t.sped end)
refused(function() return data.bensh end)
--> column 'state' of 'bench' (first in line 2) holds text and cannot be used as numbers
--> column 'state' of 'bench' (first in line 2) holds text and cannot be used as numbers
--> column 'state' of 'bench' (first in line 2) holds text and cannot be used as numbers
--> there is no 'sped' here
--> there is no 'bensh' here
report:table("as it came", { columns = { { name = "state", values = t.state }, { name = "speed", values = t.speed } } })
--~ "rows":[["ok",4.5],[null,null],["wet",6]]
