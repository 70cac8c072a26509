-- Has the unit changed? Two results of one unit, from two earlier dossiers (`uses`), or from one of
-- them and this campaign's own checks, with their difference and E_n. Formulas:
-- practice/drift.lua (E_n: ISO/IEC 17043, recalled).

local drift = require "practice.drift"

local COMMON = "common practice, no source"

local check = {
  title    = "Change of the unit between two campaigns",
  does     = "Takes one result of the unit from two dossiers, or from one and this campaign, and "
          .. "gives the difference, its uncertainty without what both references share, and E_n, "
          .. "in all and by bin.",
  practice = "E_n of the difference, with the part of the reference that both share",
  needs    = { "results" },
  parameters = {
    before = { "", "1", "the earlier dossier, as `uses` calls it (empty: the only one)",
               source = "for the campaign to say" },
    after  = { "", "1", "the later one (empty: this campaign)",
               source = "for the campaign to say" },
    check  = { "wind_speed_comparison", "1", "id of the check whose result is compared",
               source = "for the campaign to say" },
    requirement = { "slope_bin_means", "1", "requirement of that check whose value is compared",
                    source = "for the campaign to say" },
    statistical = { "", "1", "value of that check whose u is the statistical part (empty: that of slope_bin_means, "
                    .. "slope_records and gain is known)", source = "for the campaign to say" },
    correlation = { -1, "1", "correlation of the references' errors: same instrument and certificate 1, "
                    .. "recalibrated 0.5, another one 0; must be stated",
                    source = "for the campaign to say" },
    reference_u = { 0, "1", "standard uncertainty of the reference's part, in the unit of the requirement, "
                    .. "where a result states only its scatter (0: not known)", tolerance = "50 %",
                    source = "for the campaign to say" },
    k      = { 2, "1", "coverage factor", source = COMMON, evidence = "recalled" },
  },
}

-- The value whose u is the statistical part of a requirement.
local STATISTICAL = {
  slope_bin_means = "forced slope, bin means",
  slope_records   = "forced slope, records",
  gain            = "forced gain, bin means",
}

local function shown(name)
  return name == "" and "this campaign" or "'" .. name .. "'"
end

-- Which of the campaign's dossiers is the earlier one.
local function earlier(campaign, name)
  if name ~= "" then return name end
  local only
  for each in pairs(campaign.uses) do
    if only then error("the campaign uses several dossiers: before = \"...\" says which is the earlier one") end
    only = each
  end
  if not only then error("the campaign uses no earlier dossier") end
  return only
end

-- One of the two results.
local function side(campaign, p, report, name)
  local from = name == "" and campaign.results or campaign.uses[name]
  local c = from.checks[p.check]
  if c.status ~= "ran" then
    report:inconclusive(p.check .. " of " .. shown(name) .. ": " .. c.status)
  end
  local x = c.requirements[p.requirement]
  if not (x and x.value) then
    undefined(p.check .. " of " .. shown(name) .. " gives no " .. p.requirement)
  end
  local value = p.statistical ~= "" and p.statistical or STATISTICAL[p.requirement]
  local own = value and c.values[value]
  local result = { name = name, lidar = from.lidar, period = from.period, check = c, value = x.value,
                   unit = x.unit or "1" }
  if x.scatter_only then
    result.statistical = x.u or (own and own.u)
  else
    result.statistical = own and own.u
    if result.statistical then result.reference = drift.reference_part(x.u, result.statistical) end
  end
  if not result.statistical then
    error("the statistical uncertainty of " .. p.requirement .. " is not known: statistical = \"...\" names the "
      .. "value of " .. p.check .. " that has it")
  end
  return result
end

-- Two dossiers can be compared where they speak of one unit in one unit of measurement.
local function same_unit(before, after, report)
  if before.lidar.serial ~= after.lidar.serial then
    error("not one unit: " .. shown(before.name) .. " is of " .. before.lidar.serial .. ", "
      .. shown(after.name) .. " of " .. after.lidar.serial)
  end
  if before.unit ~= after.unit then
    error("not one unit of measurement: " .. before.unit .. " and " .. after.unit)
  end
  for _, key in ipairs{ "firmware", "configuration" } do
    local a, b = before.lidar[key], after.lidar[key]
    if a ~= b then
      report:note("the " .. key .. " differs: " .. tostring(a or "not stated") .. " before, "
        .. tostring(b or "not stated") .. " after")
    end
  end
end

-- The reference's parts where a result states only its scatter. False: they are not known.
local function references(before, after, p, report)
  if p.correlation == 1 and p.reference_u == 0 and not before.reference and not after.reference then
    before.reference, after.reference = 0, 0
    report:note("the reference is the same and its part cancels: its uncertainty is not needed")
    return true
  end
  for _, x in ipairs{ before, after } do
    if not x.reference and p.reference_u > 0 then
      x.reference = p.reference_u
      report:note(shown(x.name) .. " states only its scatter: the reference's part is the parameter's")
    end
  end
  return before.reference ~= nil and after.reference ~= nil
end

-- The bins of a result that are complete, by centre: gain and its statistical uncertainty.
local function bins(x)
  local t, by = x.check.tables["by bin"], {}
  for _, row in ipairs(t and t.rows or {}) do
    local v = row["reference mean"]
    if row.complete == "yes" and v and row["standard error"] then
      by[row.centre] = { value = row["measured mean"] / v, statistical = row["standard error"] / v,
                         reference = x.reference }
    end
  end
  return by
end

local function by_bin(before, after, p, report)
  if before.unit ~= "1" then return end
  local b, a, centres = bins(before), bins(after), {}
  for centre in pairs(b) do
    if a[centre] then centres[#centres + 1] = centre end
  end
  if #centres == 0 then return report:note("the two results have no complete bin in common") end
  table.sort(centres)
  local was, is, difference, u, en, was_u, is_u = {}, {}, {}, {}, {}, {}, {}
  for i, centre in ipairs(centres) do
    local x, y = b[centre], a[centre]
    local d = drift.compare(x, y, p.correlation, p.k)
    was[i], is[i], was_u[i], is_u[i] = x.value, y.value, x.statistical, y.statistical
    difference[i], u[i], en[i] = d.difference, d.u, d.en
  end
  report:table("by bin", { columns = {
    { name = "centre", unit = "m s-1", values = centres },
    { name = "before", unit = "1", values = was }, { name = "after", unit = "1", values = is },
    { name = "difference", unit = "1", values = difference },
    { name = "standard uncertainty", unit = "1", values = u }, { name = "E_n", unit = "1", values = en },
  } })
  report:note("by bin: measured mean over reference mean; the reference's part is that of the whole")
  report:figure("gain by bin", {
    title = "Gain by bin, with its statistical uncertainty (k = 1)",
    x = { label = "centre of the bin", unit = "m s-1" }, y = { label = "measured over reference", unit = "1" },
    series = { { kind = "error", label = "before", x = centres, y = was, u = was_u },
               { kind = "error", label = "after", x = centres, y = is, u = is_u } },
  })
end

-- The gain as it went through both campaigns, where both checks give it by window.
local function by_window(before, after, report)
  local series = {}
  for i, x in ipairs{ before, after } do
    local t = x.check.tables["gain by window"]
    if not t then return end
    local at, gain, u = {}, {}, {}
    for k, row in ipairs(t.rows) do
      at[k], gain[k], u[k] = row.middle, row.gain, row["standard uncertainty"]
    end
    series[i] = { kind = "error", label = i == 1 and "before" or "after", x = at, y = gain, u = u }
  end
  report:figure("gain by window", {
    title = "Gain by window in both campaigns, each from its own first day, with its scatter (k = 1)",
    x = { label = "middle of the window", unit = "day" }, y = { label = "measured over reference", unit = "1" },
    series = series })
end

function check.run(campaign, p, report)
  if p.correlation < 0 or p.correlation > 1 then
    error("state the correlation of the two references, 0 to 1: same instrument and certificate 1, "
      .. "recalibrated 0.5, another one 0")
  end
  local before = side(campaign, p, report, earlier(campaign, p.before))
  local after = side(campaign, p, report, p.after)
  same_unit(before, after, report)
  for _, when in ipairs{ { "before", before }, { "after", after } } do
    local x = when[2]
    report:value(when[1], x.value, { unit = x.unit, u = x.statistical,
      text = x.period.from .. " to " .. x.period.to .. "; u: statistical" })
  end
  if not references(before, after, p, report) then
    undefined("a result states only its scatter, and reference_u is not set: the difference has no whole "
      .. "uncertainty")
  end
  local d = drift.compare(before, after, p.correlation, p.k)
  report:value("difference", d.difference, { unit = before.unit, u = d.u, text = "after minus before" })
  report:value("E_n", d.en, { unit = "1" })
  if math.abs(d.en) > 1 then
    report:value("component by drift", drift.component(d.difference), { unit = before.unit,
      text = "rectangular, to be added to the uncertainty of the campaign between" })
  end
  by_bin(before, after, p, report)
  by_window(before, after, report)
  local source = "statistical parts, and what the references do not share"
  report:require("difference", d.difference, { unit = before.unit, u = d.u, source = source })
  report:require("en", math.abs(d.en), { unit = "1", u = 0, source = "E_n weighs the uncertainty itself" })
end

return check
