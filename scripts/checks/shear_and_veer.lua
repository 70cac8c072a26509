-- Shear and veer over the heights that unit and reference both measure.
-- Power law and veer: practice/shear.lua. A unit whose heights are off, or that sees a part of the
-- profile only, differs here before it differs at one height.

local calibration = require "practice.calibration"
local channels    = require "practice.channels"
local exclusions  = require "practice.exclusions"
local shear       = require "practice.shear"

local check = {
  title    = "Shear and veer against the reference",
  does     = "Computes shear and veer from the heights that unit and reference both measure and "
          .. "compares them by wind-speed bin: a unit that sees a part of the profile only differs "
          .. "here first.",
  practice = "power law of IEC 61400-12-1 (recalled); veer as the difference of direction by height",
  needs    = { "unit.wind_speed", "reference.wind_speed" },
  parameters = exclusions.parameters({
    within   = { 1, "m", "heights of unit and reference that count as equal",
                 source = "common practice, no source", evidence = "recalled" },
    lowest_speed = { 4, "m/s", "lowest reference wind speed: the shear of calm air means little", tolerance = 1,
                 source = "common practice, no source", evidence = "recalled" },
    width    = { 1, "m/s", "width of a bin of the reference wind speed", source = "own choice" },
    lowest   = { 4, "m/s", "lowest bin centre", source = "own choice" },
    highest  = { 16, "m/s", "highest bin centre", source = "own choice" },
    at_least = { 3, "records", "records that a bin needs", source = "own choice" },
  }, exclusions.USUAL),
}

local SCATTER = "scatter of the records only"

-- Channels of both at the heights that both have: lists of equal length, lowest first.
local function common(r, quantity, within)
  local of_unit, of_reference = {}, {}
  local unit = channels.by_height(r.unit, quantity)
  for _, c in ipairs(channels.by_height(r.reference, quantity)) do
    local near
    for _, u in ipairs(unit) do
      local off = math.abs(u.height - c.height)
      if off <= within and (not near or off < math.abs(near.height - c.height)) then near = u end
    end
    if near then
      of_reference[#of_reference + 1], of_unit[#of_unit + 1] = c, near
    end
  end
  return of_unit, of_reference
end

local function means(list)
  local columns, heights = {}, {}
  for i, c in ipairs(list) do columns[i], heights[i] = c.mean, c.height end
  return columns, heights
end

local function names(heights)
  local t = {}
  for i, z in ipairs(heights) do t[i] = string.format("%g", z) end
  return table.concat(t, ", ") .. " m"
end

-- Values, table and figure of one quantity: `name` "shear" or "veer".
local function compared(report, name, unit, v, of_reference, of_unit, p)
  local off = of_unit - of_reference
  local b = bin.by(v, { width = p.width, lowest = p.lowest, highest = p.highest,
    at_least = p.at_least })
  local scatter = off:sd() / math.sqrt(off:effective_count())
  report:value(name .. " of the reference, mean", of_reference:mean(), { unit = unit })
  report:value(name .. " of the unit, mean", of_unit:mean(), { unit = unit })
  report:value(name .. " difference, mean", off:mean(), { unit = unit, u = scatter })
  report:value(name .. " difference, sd", off:sd(), { unit = unit })
  report:table(name .. " by bin", { columns = {
    { name = "bin centre", values = b.centre },
    { name = "records", unit = "1", values = b.count },
    { name = "reference", unit = unit, values = b:mean(of_reference) },
    { name = "unit", unit = unit, values = b:mean(of_unit) },
    { name = "difference", unit = unit, values = b:mean(off) },
    { name = "sd of the difference", unit = unit, values = b:sd(off) },
    { name = "standard error", unit = unit, values = b:standard_error(off) },
  } })
  report:figure(name .. " difference by bin", {
    title = "Difference of " .. name .. " by bin, with its statistical uncertainty (k = 1)",
    x = { label = "reference wind speed", unit = "m s-1" },
    y = { label = "unit minus reference", unit = unit },
    series = {
      { kind = "level", label = "no difference", y = 0 },
      { kind = "error", label = "mean difference", x = b.centre, y = b:mean(off),
        u = b:standard_error(off) },
    },
  })
  report:require(name .. "_difference", math.abs(off:mean()),
    { unit = unit, u = scatter, scatter_only = SCATTER })
  return b
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local lidars, cups = common(r, "wind_speed", p.within)
  if #cups < 2 then
    undefined(string.format("shear needs two heights that both measure; there %s %d",
      #cups == 1 and "is" or "are", #cups))
  end
  local unit_v, unit_z = means(lidars)
  calibration.say_not_applied(campaign, report, lidars[1])
  local reference_v, reference_z = means(cups)
  local top = #cups
  exclusions.usual(campaign, r, p, report, reference_v, unit_v, cups, lidars[top])
  r:exclude(string.format("reference below %g m/s", p.lowest_speed),
    reference_v[top]:below(p.lowest_speed, "m/s"))
  r:exclude("a speed of zero", reference_v[1]:equals(0, "m/s") | unit_v[1]:equals(0, "m/s"))
  report:note("heights of shear: " .. names(reference_z))

  local of_reference = shear.exponent(reference_v, reference_z)
  local of_unit = shear.exponent(unit_v, unit_z)
  local v, a, b = r:kept(reference_v[top], of_reference, of_unit)
  report:value("records compared", #v, { unit = "1" })
  r:compared(b, a)
  r:binned(compared(report, "shear", "1", v, a, b, p))

  local vanes_unit, vanes = common(r, "wind_from_direction", p.within)
  if #vanes < 2 then
    report:note("fewer than two heights of wind direction that both measure: no veer")
    return
  end
  local n, account = #vanes, campaign:account("veer")
  local function veer(list)
    return shear.veer(list[n].mean, list[1].mean, list[n].height, list[1].height)
  end
  local turn, turn_unit = veer(vanes), veer(vanes_unit)
  local judged = vanes_unit[n]:gives("availability") and vanes_unit[n] or lidars[top]
  exclusions.usual(campaign, account, p, report, { reference_v[top], turn }, { turn_unit },
    { cups[top] }, judged)
  account:exclude(string.format("reference below %g m/s", p.lowest_speed),
    reference_v[top]:below(p.lowest_speed, "m/s"))
  local w, c, d = account:kept(reference_v[top], turn, turn_unit)
  account:compared(d, c)
  account:binned(compared(report, "veer", "degree m-1", w, c, d, p))
end

return check
