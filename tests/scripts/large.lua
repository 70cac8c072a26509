-- Primitives on more values than fit a page: glibc's qsort then asks the system for its memory,
-- which a sealed cell may not; it once ended the cell.
local x, y = {}, {}
for i = 1, 3000 do
  x[i] = 3 + (i * 37 % 1301) / 100
  y[i] = 1.01 * x[i] + (i * 17 % 100) / 1000
end
x, y = column.new(x, "m/s"), column.new(y, "m/s")
print(#x, x:median())
--> 3000	9.48
local c = compare.by_bin(y, x, { width = 0.5, lowest = 4, highest = 15, at_least = 3 })
print(#c.bins, c.bins.complete[1])
--> 23	true
