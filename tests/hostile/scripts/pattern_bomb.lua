-- A loop inside C: no hook runs there, the wall clock ends it.
--! limit: the script ran for more than its 1 s
--% wall 1
local s = ("a"):rep(40000)
print(s:find(("a*"):rep(40) .. "b"))
