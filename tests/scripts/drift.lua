-- E_n of practice 5.7 and the uncertainty of a change of practice 7.3.
local drift = require "practice.drift"

-- The worked number of practice 5.7 (R 4.2.2; formula of ISO 17043, recalled): 1.004 with U 0.016 against
-- 0.998 with U 0.014, independent. How the uncertainty is shared out does not matter then.
local first  = { value = 0.998, statistical = 0.007, reference = 0 }
local second = { value = 1.004, statistical = 0, reference = 0.008 }
local d = drift.compare(first, second, 0, 2)
print(string.format("%.8f %.3f", d.en, d.difference))
--> 0.28221626 0.006
print(string.format("%.8f", drift.compare(second, first, 0, 2).en))
--> -0.28221626

-- By hand: u_A 3 and 4, u_ref 5 both: sqrt(9 + 16 + (1 - r) 50).
local b, a = { value = 10, statistical = 3, reference = 5 }, { value = 16, statistical = 4, reference = 5 }
for _, r in ipairs{ 1, 0.5, 0 } do print(string.format("%.12g", drift.compare(b, a, r, 2).u^2)) end
--> 25
--> 50
--> 75
-- One is the other's correlated part: 9 + 16 + 25 + 1 - 2 * 0.5 * 5 * 1.
a.reference = 1
print(string.format("%.12g", drift.compare(b, a, 0.5, 2).u^2))
--> 46

-- A rectangular component, and the reference's part of 13 with 5 of its own.
print(string.format("%.12g %.12g %g", drift.component(-math.sqrt(3)), drift.reference_part(13, 5), drift.reference_part(1, 1)))
--> 1 12 0

-- Without any uncertainty there is no E_n.
print(select(2, pcall(drift.compare, { value = 1, statistical = 0, reference = 1 },
  { value = 2, statistical = 0, reference = 1 }, 1, 2)).kind)
--> undefined

-- Windows of 2 days, moved by one: 40 records a day on 4 days, the gain of each day planted (1.00, 1.02, 1.04,
-- 1.06). All days have the same speeds, so that a window's gain is the mean of its days.
local v, s, t = {}, {}, {}
for day = 0, 3 do
  for i = 1, 40 do
    v[#v + 1], t[#t + 1] = 4 + i / 10, (20514 + day) * 86400 + i * 600
    s[#s + 1] = v[#v] * (1 + 0.02 * day)
  end
end
v, s, t = column.new(v, "m/s"), column.new(s, "m/s"), column.new(t, "s")
for _, w in ipairs(drift.windows(v, s, t, 2)) do
  print(w.middle, w.records, string.format("%.12f", w.gain))
end
--> 1.0	80	1.010000000000
--> 2.0	80	1.030000000000
--> 3.0	80	1.050000000000
print(#drift.windows(v, s, t, 5), #drift.windows(v:where(t:below(20514 * 86400 + 17401, "s")),
  s:where(t:below(20514 * 86400 + 17401, "s")), t:where(t:below(20514 * 86400 + 17401, "s")), 1))
--> 0	0
