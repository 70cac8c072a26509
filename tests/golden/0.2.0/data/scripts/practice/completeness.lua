-- Is there enough data to decide?
-- The numbers are parameters. 180 hours and 3 records (30 minutes) a bin are those of the
-- power-curve database (IEC 61400-12-1, clause 8.4), recalled, check your copy of the standard.

local completeness = {}

--- Says what must be there before the check can decide: so many hours of the records that lie in
--- its bins, and every bin of `coverage` (left out: its own bins) complete. What is short makes the
--- check inconclusive; `windassay progress` shows how far it is.
--- `reference` is the column that the bins were made from. Call it before what needs the data.
function completeness.require(report, reference, bins, hours, coverage)
  if hours > 0 then
    report:coverage("hours", { records = reference:where(~bins.outside), hours = hours })
  end
  report:coverage("bins", { records = reference, bins = coverage or bins })
end

return completeness
