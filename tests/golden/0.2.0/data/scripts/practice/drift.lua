-- Has a unit changed between two calibrations? Each value has a statistical part of its uncertainty,
-- which is its own, and a part of the reference, which the two may share:
--
--   d      = after - before
--   u(d)^2 = u_A,before^2 + u_A,after^2 + u_ref,before^2 + u_ref,after^2 - 2 r u_ref,before u_ref,after
--   E_n    = d / (k u(d)),  k = 2;  |E_n| <= 1: no drift is seen
--
-- which is u_A,before^2 + u_A,after^2 + (1 - r) 2 u_ref^2 where both references are equally good.
-- r is the correlation of the two references (common practice, no source): the same instrument and
-- certificate 1, the same recalibrated in between about 0.5, another one 0. For r = 0 E_n is that of
-- ISO/IEC 17043 (recalled), (x1 - x2) / sqrt(U1^2 + U2^2).

--
-- Within one campaign: the gain forced through the records of a window that slides over the days, with
-- the standard uncertainty of that fit (scatter only). Windows overlap, so that neighbours are alike by
-- themselves. A window of days (7, say), moved by one day: common practice, no source; one with fewer
-- than 30 records is left out (own).

local drift = {}

local DAY, LEAST = 86400, 30

--- The parameter of checks that give a gain.
drift.WINDOW = { 0, "day", "days of a window that slides over the records, whose gain is reported as it "
                 .. "goes (7, say; 0: none)", source = "common practice, no source", evidence = "recalled" }

--- `before` and `after`: { value =, statistical =, reference = }, the last two standard
--- uncertainties (k = 1). Gives { difference =, u =, en = }.
function drift.compare(before, after, correlation, k)
  local b, a = before.reference, after.reference
  local variance = before.statistical * before.statistical + after.statistical * after.statistical
    + b * b + a * a - 2 * correlation * b * a
  if variance <= 0 then undefined("the difference has no uncertainty") end
  local d, u = after.value - before.value, math.sqrt(variance)
  return { difference = d, u = u, en = d / (k * u) }
end

--- The gain of `shown` over `reference` in windows of `days`; `time` (seconds) is cut alike. A list of
--- { middle, records, gain, gain_u }, the middle in days from the UTC day of the first record.
function drift.windows(reference, shown, time, days)
  local first = math.floor(time:min() / DAY)
  local last, list = math.floor(time:max() / DAY), {}
  for start = first, last + 1 - days do
    local inside = time:between(start * DAY, (start + days) * DAY, "s")
    if inside:count() >= LEAST then
      local f = fit.through_origin(reference:where(inside), shown:where(inside))
      list[#list + 1] = { middle = start - first + days / 2, records = f.n, gain = f.slope,
                          gain_u = f.slope_u }
    end
  end
  return list
end

--- Their table and figure, beside the gain of all; and how far the farthest is from it.
function drift.report_windows(report, list, days, gain)
  if #list < 2 then
    return report:note(string.format("fewer than two windows of %g days have enough records: no gain by "
      .. "window", days))
  end
  local middle, records, gains, u, far = {}, {}, {}, {}, 1
  for i, w in ipairs(list) do
    middle[i], records[i], gains[i], u[i] = w.middle, w.records, w.gain, w.gain_u
    if math.abs(w.gain - gain) > math.abs(gains[far] - gain) then far = i end
  end
  report:table("gain by window", { columns = {
    { name = "middle", unit = "day", values = middle }, { name = "records", unit = "1", values = records },
    { name = "gain", unit = "1", values = gains }, { name = "standard uncertainty", unit = "1", values = u },
  } }, { title = string.format("gain in windows of %g days", days) })
  report:value("farthest gain of a window", gains[far] - gain, { unit = "1", u = u[far],
    text = string.format("from the gain of all; windows of %g days; u: scatter", days) })
  report:figure("gain by window", {
    title = string.format("Gain in windows of %g days, with its statistical uncertainty (k = 1)", days),
    x = { label = "middle of the window", unit = "day" }, y = { label = "gain", unit = "1" },
    series = { { kind = "level", label = "gain of all", y = gain },
               { kind = "error", label = "window", x = middle, y = gains, u = u } },
  })
end

--- What a drift that is seen adds to the uncertainty of the campaign between: a rectangular
--- component, |d| / sqrt(3) (common practice, no source).
function drift.component(difference)
  return math.abs(difference) / math.sqrt(3)
end

--- The part of the reference in a whole uncertainty, whose other part is the statistical one.
function drift.reference_part(whole, statistical)
  return math.sqrt(math.max(0, whole * whole - statistical * statistical))
end

return drift
