-- Is there enough data to decide?
-- The numbers are parameters. 180 hours and 3 records (30 minutes) a bin are those of the
-- power-curve database (IEC 61400-12-1, clause 8.4), recalled, check your copy of the standard.

local completeness = {}

--- The reasons why the data do not suffice, as a list of sentences (empty: they do).
--- `bins` are the bins that must be complete, `records` how many records were compared,
--- `interval` their length in seconds, `at_least` how many records each of the bins needs.
function completeness.reasons(bins, records, interval, hours, at_least)
  local reasons = {}
  local have = records * interval / 3600
  if have < hours then
    reasons[#reasons + 1] = string.format("%.1f h of data, %g h needed", have, hours)
  end
  local short = {}
  for i = 1, #bins do
    if not bins.complete[i] then short[#short + 1] = string.format("%g", bins.centre[i]) end
  end
  if #short > 0 then
    reasons[#reasons + 1] = string.format("fewer than %g records in %d of %d bins, centred at %s",
      at_least, #short, #bins, table.concat(short, ", "))
  end
  return reasons
end

return completeness
