-- Turbulence of the unit against the reference: standard deviation and intensity of each interval,
-- their errors by bin, the representative intensity.
-- Metrics: practice/turbulence.lua. No limits are known, so whatever criteria limit is the user's.
-- A lidar as the reference filters turbulence as the unit does, and its standard deviations scatter
-- like the unit's: the slopes are then Deming's of equal errors, and agreement is not accuracy.

local calibration = require "practice.calibration"
local channels    = require "practice.channels"
local exclusions  = require "practice.exclusions"
local reference   = require "practice.reference"
local turbulence  = require "practice.turbulence"

local check = {
  title    = "Turbulence against the reference, by bin",
  does     = "Compares standard deviation and turbulence intensity of each interval with the "
          .. "reference's: bias and RMS error in all and by bin, representative intensity, "
          .. "regression of the standard deviations.",
  practice = "error metrics of a recommended practice of 2023 on lidar-measured turbulence "
          .. "(definitions recalled, its limits not seen); bins by the reference wind speed",
  needs    = { "unit.wind_speed", "reference.wind_speed" },
  parameters = exclusions.parameters({
    height   = { 0, "m", "height that is compared (0: the only one, or the one marked primary)",
                 source = "for the campaign to say" },
    width    = { 1, "m/s", "width of a bin, centred on multiples of itself",
                 source = "representative intensity by bins of 1 m/s", evidence = "recalled" },
    lowest   = { 4, "m/s", "lowest bin centre",
                 source = "intensity of low wind means little: 4 m/s and above",
                 evidence = "recalled" },
    highest  = { 16, "m/s", "highest bin centre", source = "own choice" },
    at_least = { 3, "records", "records that a bin needs",
                 source = "common practice, no source", evidence = "recalled" },
  }, exclusions.USUAL),
}

local SCATTER = "scatter of the records only: what lidar and cup measure of turbulence differs"

local function by_bin(b, v, sd_ref, sd_unit, ti_ref, ti_unit)
  local error_of_ti = ti_unit - ti_ref
  local relative = turbulence.relative_error(ti_unit, ti_ref)
  local rep_ref = turbulence.representative(b:mean(ti_ref), b:sd(ti_ref))
  local rep_unit = turbulence.representative(b:mean(ti_unit), b:sd(ti_unit))
  local rep_error = rep_unit - rep_ref
  return { columns = {
    { name = "bin centre", values = b.centre },
    { name = "records", unit = "1", values = b.count },
    { name = "reference mean speed", values = b:mean(v) },
    { name = "reference sd", values = b:mean(sd_ref) },
    { name = "unit sd", values = b:mean(sd_unit) },
    { name = "error of sd, mean", values = b:mean(sd_unit - sd_ref) },
    { name = "error of sd, RMS", values = b:rms(sd_unit - sd_ref) },
    { name = "reference TI", values = b:mean(ti_ref) },
    { name = "unit TI", values = b:mean(ti_unit) },
    { name = "error of TI, mean", values = b:mean(error_of_ti) },
    { name = "error of TI, RMS", values = b:rms(error_of_ti) },
    { name = "MRBE", values = b:mean(relative) },
    { name = "RRMSE", values = b:rms(relative) },
    { name = "reference representative TI", values = rep_ref },
    { name = "unit representative TI", values = rep_unit },
    { name = "error of representative TI", values = rep_error },
  } }, rep_error, rep_ref, rep_unit
end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local cup, lidar = channels.pair(r, "wind_speed", p.height)
  channels.say_heights(report, cup, lidar)
  calibration.say_not_applied(campaign, report, lidar)
  if not (cup:gives("sd") and lidar:gives("sd")) then
    undefined("turbulence needs the standard deviation of both: "
      .. (cup:gives("sd") and "the unit" or "the reference") .. " does not give it")
  end
  exclusions.usual(campaign, r, p, report, { cup.mean, cup.sd }, { lidar.mean, lidar.sd }, { cup },
    lidar)
  local lidar_reference = reference.is_lidar(campaign, cup)
  if lidar_reference then exclusions.reference_availability(r, report, cup, p.availability) end
  r:exclude("intensity of the reference is zero", cup.sd:equals(0, "m/s"))

  local v, s, sd_ref, sd_unit = r:kept(cup.mean, lidar.mean, cup.sd, lidar.sd)
  local b = bin.by(v, { width = p.width, lowest = p.lowest, highest = p.highest,
    at_least = p.at_least })
  r:binned(b)
  r:compared(turbulence.intensity(sd_unit, s), turbulence.intensity(sd_ref, v))
  local inside = ~b.outside
  v, s = v:where(inside), s:where(inside)
  sd_ref, sd_unit = sd_ref:where(inside), sd_unit:where(inside)
  b = bin.by(v, { width = p.width, lowest = p.lowest, highest = p.highest, at_least = p.at_least })

  local ti_ref, ti_unit = turbulence.intensity(sd_ref, v), turbulence.intensity(sd_unit, s)
  local mrbe, rrmse = turbulence.metrics(ti_unit, ti_ref)
  local bias = (ti_unit - ti_ref):mean()
  local forced, free = fit.through_origin(sd_ref, sd_unit), fit.line(sd_ref, sd_unit)
  report:value("records compared", #v, { unit = "1" })
  report:value("mean TI of the reference", ti_ref:mean(), { unit = "%" })
  report:value("mean TI of the unit", ti_unit:mean(), { unit = "%" })
  report:value("mean error of TI", bias, { unit = "%" })
  report:value("RMS error of TI", turbulence.rms(ti_unit - ti_ref), { unit = "%" })
  report:value("MRBE", mrbe, { unit = "%", text = "mean relative bias error of TI" })
  report:value("RRMSE", rrmse, { unit = "%", text = "relative root mean square error of TI" })
  report:value("forced slope of sd", forced.slope, { unit = "1", u = forced.slope_u })
  report:value("free slope of sd", free.slope, { unit = "1", u = free.slope_u })
  report:value("free intercept of sd", free.intercept, { unit = "m s-1", u = free.intercept_u })
  report:value("r2 Pearson of sd", free.r2_pearson, { unit = "1" })
  if lidar_reference then
    local deming = fit.deming(sd_ref, sd_unit, { ratio = 1 })
    report:value("Deming slope of sd", deming.slope, { unit = "1", u = deming.slope_u,
      text = "free, equal errors: instruments of one kind" })
    report:note("the reference is a lidar: both filter turbulence by their volumes, so that they "
      .. "agree does not say that either measures what a cup does")
  end

  local t, rep_error, rep_ref, rep_unit = by_bin(b, v, sd_ref, sd_unit, ti_ref, ti_unit)
  report:table("by bin", t)
  report:figure("representative TI", {
    title = "Representative turbulence intensity by bin",
    x = { label = "reference wind speed", unit = "m s-1" },
    y = { label = "turbulence intensity", unit = "%" },
    series = {
      { kind = "points", label = "records of the unit", x = v, y = ti_unit },
      { kind = "line", label = "reference, representative", x = b.centre, y = rep_ref },
      { kind = "line", label = "unit, representative", x = b.centre, y = rep_unit },
    },
  })
  report:require("mrbe", mrbe, { unit = "%", scatter_only = SCATTER })
  report:require("rrmse", rrmse, { unit = "%", scatter_only = SCATTER })
  report:require("ti_bias", bias, { unit = "%", scatter_only = SCATTER })
  report:require("representative_ti_error", rep_error:abs():max(),
    { unit = "%", scatter_only = SCATTER .. "; the largest of the complete bins" })
end

return check
