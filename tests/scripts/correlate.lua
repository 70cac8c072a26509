-- correlate.lag: b shows two rows later what a shows.
local x = { 3, 5, 4, 8, 9, 7, 6, 2, 1, 5, 8, 9, 4, 3, 2, 6, 7, 8, 5, 1 }
local a, b = {}, {}
for i = 1, 18 do a[i], b[i] = x[i + 2], x[i] end
a, b = column.new(a), column.new(b)
local c = correlate.lag(a, b, { within = 4 })
print(c.lag, string.format("%.12f", c.correlation_at_lag), c.sub_lag > 1.5 and c.sub_lag < 2.5, c.correlation[7] == c.correlation_at_lag)
--> 2	1.000000000000	true	true
print(#c.lags, c.lags[1], c.lags[9], #c.correlation, c.pairs[5], c.pairs[9])
--> 9	-4.0	4.0	9	18.0	14.0
print(correlate.lag(a, b, { within = 4, differences = true }).lag)
--> 2

local function says(f, ...)
  local ok, e = pcall(f, ...)
  print(ok or (e.kind .. ": " .. (e.message:gsub("^[^ ]*lua:%d+: ", ""))) .. (e.hint and " (" .. e.hint .. ")" or ""))
end
says(function() return correlate.lag(a, b, { within = 2 }).sub_lag end)
--> undefined: sub_lag is not defined: the greatest correlation has no defined neighbours within the range on both sides, or no peak
says(correlate.lag, a, 0 * b, { within = 2 })
--> undefined: no lag has a correlation: at each of them fewer than 3 pairs are there or one side does not vary
says(correlate.lag, a, b)
--> script: correlate.lag: needs the lags to look at, in rows ({ within = 12 }: two hours of 10-minute rows)
says(correlate.lag, a, b, { within = 18 })
--> script: lags within 18 rows: it must be 0 or more, and less than the 18 rows that are there
says(correlate.lag, a, b, { whithin = 3 })
--> script: correlate.lag: unknown option 'whithin' (did you mean 'within'?)
says(correlate.lag, a, column.new{ 1 }, { within = 1 })
--> script: correlate.lag: the columns have 18 and 1 values (cut both alike: local a, b = r:kept(a, b), or :where with the same mask)
