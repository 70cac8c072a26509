-- Comparisons in a check: columns know their side and their times.
local check = { title = "sides", practice = "a test", parameters = { lowest = { 4, "m/s", "not used here" } } }

function check.run(campaign)
  local r = campaign.intervals
  local V = r.reference:find{ quantity = "wind_speed", use = "primary" }.mean
  local S = r.unit:find{ quantity = "wind_speed" }.mean
  local bins = { width = 100, lowest = 0, highest = 100 }
  local function says(f, ...)
    local ok, e = pcall(f, ...)
    print(ok or (e.kind .. ": " .. e.message) .. (e.hint and " (" .. e.hint .. ")" or ""))
  end

  local c = compare.by_bin(S, V, bins)
  print(c.n + c.left_out, c.days[1], c.rows[1].days, c.columns[3].name)
--> 12	2.0	2	days
  says(compare.by_bin, V, S, bins)
--> script: compare.by_bin: what is measured comes from the reference, and the reference from the unit (compare.by_bin(measured, reference, ...): the unit's column first)
  says(compare.by_bin, V, V, bins)
--> script: compare.by_bin: what is measured comes from the reference (compare.by_bin(measured, reference, ...): the unit's column first)
  says(compare.by_bin, S, S, bins)
--> script: compare.by_bin: the reference comes from the unit (compare.by_bin(measured, reference, ...): the unit's column first)
  says(compare.by_bin, S, V, bins, S)
--> script: compare.by_bin: what sorts the pairs comes from the unit alone
  print(compare.by_bin(S, V, bins, (S + V) / 2).n)
--> 12
  says(compare.by_bin, S, V:where(V:above(6, "m/s")), bins)
--> script: compare.by_bin: the columns have 12 and 9 values (cut both alike: local a, b = r:kept(a, b), or :where with the same mask)
  local early = r.time:below({ r.time[7], "s" })
  says(compare.by_bin, S:where(early), V:where(~early), bins)
--> script: compare.by_bin: the columns belong to different intervals (cut both with the same mask)
  -- computed columns have both sides, or none: nothing to be confused about
  print(compare.by_bin((S + V) / 2, V, bins).n == c.n, compare.by_bin(S, V + 0 * S, bins).n == c.n)
--> true	true

  local b = bin.by(V, bins)
  print(b.days, b:mean(S)[1] == c.measured_mean[1], c.left_out)
--> column of 2 in 1: 2 0	true	0
  -- a cut column has lost the spacing that lags count in
  local cut = V:missing() | r.time:equals({ r.time[5], "s" })
  says(correlate.lag, V:where(~cut), V:where(~cut), { within = 2 })
--> script: correlate.lag: the rows are not evenly spaced in time (correlate columns of the whole grid: gaps in them are missing values)
end

return check
