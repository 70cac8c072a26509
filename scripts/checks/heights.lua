-- One unit at several heights: what wind_speed_comparison found at each, and what holds in between.
-- IEC 61400-50-2 practice (recalled): between two heights that were compared, deviation and
-- uncertainty of a bin are interpolated linearly; beyond the highest and the lowest nothing is said.
-- Needs entries of wind_speed_comparison that state their `height`. For information: each height is
-- decided by its own entry.

local check = {
  title    = "Wind speed over the heights that were compared",
  practice = "IEC 61400-50-2 (recalled): linear between heights, no extrapolation",
  needs    = { "results" },
  parameters = {
    height = { 0, "m", "height at which deviation and uncertainty are wanted (0: none)" },
  },
}

-- The runs of wind_speed_comparison with a height, lowest first; two of one height are an error.
local function compared(results, report)
  local list = {}
  for id, c in pairs(results.checks) do
    local height = c.name == "wind_speed_comparison" and c.values["height compared"]
    if height then list[#list + 1] = { id = id, height = height.value, check = c } end
  end
  table.sort(list, function(a, b)
    return a.height < b.height or a.height == b.height and a.id < b.id
  end)
  local once, last = {}, nil
  for _, x in ipairs(list) do
    if last and last.height == x.height then
      report:note(string.format("%s is at the height of %s and is left out", x.id, last.id))
    else
      once[#once + 1], last = x, x
    end
  end
  if #once < 2 then
    undefined("fewer than two heights: entries of wind_speed_comparison with their own height are needed")
  end
  return once
end

local function by_height(report, list)
  local heights, records, slope, u, ids, said = {}, {}, {}, {}, {}, {}
  for i, x in ipairs(list) do
    local s, n = x.check.requirements.slope_bin_means, x.check.values["records compared"]
    heights[i], ids[i], said[i] = x.height, x.id, x.check.status
    records[i] = n and n.value or missing
    slope[i], u[i] = s and s.value or missing, s and not s.scatter_only and s.u or missing
  end
  report:table("by height", { columns = {
    { name = "height", unit = "m", values = heights }, { name = "entry", values = ids },
    { name = "status", values = said }, { name = "records", unit = "1", values = records },
    { name = "slope of the bin means", unit = "1", values = slope },
    { name = "standard uncertainty", unit = "1", values = u },
  } })
  report:figure("slope over height", {
    title = "Slope of the bin means at each height, with its uncertainty (k = 1)",
    x = { label = "height", unit = "m" }, y = { label = "slope", unit = "1" },
    series = { { kind = "level", label = "no deviation", y = 1 },
               { kind = "error", label = "slope", x = heights, y = slope, u = u } },
  })
end

-- Deviation and combined uncertainty of the complete bins of a run, by centre.
local function bins(x)
  local by, t = {}, x.check.tables
  if not (t["by bin"] and t["uncertainty by bin"]) then return by end
  for _, row in ipairs(t["by bin"].rows) do by[row.centre] = { deviation = row.deviation } end
  for _, row in ipairs(t["uncertainty by bin"].rows) do
    if by[row.centre] then by[row.centre].u = row.combined end
  end
  return by
end

-- The runs just below and above a height, and how far it is from the lower one.
local function around(list, height)
  for i = 2, #list do
    local a, b = list[i - 1], list[i]
    if height >= a.height and height <= b.height then
      return a, b, (height - a.height) / (b.height - a.height)
    end
  end
  undefined(string.format("%g m lies outside the heights that were compared, %g to %g m: nothing is "
    .. "extrapolated", height, list[1].height, list[#list].height))
end

local function between(report, list, height)
  local a, b, share = around(list, height)
  local low, high, centres, deviation, u = bins(a), bins(b), {}, {}, {}
  for centre, x in pairs(low) do
    local y = high[centre]
    if y and x.deviation and x.u and y.deviation and y.u then centres[#centres + 1] = centre end
  end
  if #centres == 0 then
    undefined(string.format("%s and %s have no complete bin with an uncertainty in common", a.id, b.id))
  end
  table.sort(centres)
  for i, centre in ipairs(centres) do
    local x, y = low[centre], high[centre]
    deviation[i] = x.deviation + share * (y.deviation - x.deviation)
    u[i] = x.u + share * (y.u - x.u)
  end
  report:table(string.format("at %g m", height), { columns = {
    { name = "centre", unit = "m s-1", values = centres },
    { name = "deviation", unit = "m s-1", values = deviation },
    { name = "standard uncertainty", unit = "m s-1", values = u },
  } })
  report:note(string.format("at %g m: linear between %s (%g m) and %s (%g m)", height, a.id, a.height,
    b.id, b.height))
end

function check.run(campaign, p, report)
  local list = compared(campaign.results, report)
  by_height(report, list)
  if p.height ~= 0 then between(report, list, p.height) end
end

return check
