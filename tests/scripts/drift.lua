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
