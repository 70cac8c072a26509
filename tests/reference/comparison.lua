-- compare.by_bin against R 4.2.2 (lm, mean, sd) on measured winds, as an outsider would test it:
--   windassay script comparison.lua --data winds=realwind/STEM.csv --data bins=realwind/STEM_bins_R.csv
--                                   --data fits=realwind/STEM_fits_R.csv
-- STEM: irish_SHA_vs_BIR (Haslett and Raftery 1989, from R package gstat), sao_neighbour_pairs (US surface
-- observations, public domain). R works in doubles: 2e-12 relative; a mean deviation is a small difference: 1e-10.
local checked = 0
local function close(what, found, right, relative)
  local good = math.abs(found - right) <= relative * math.abs(right) -- false for NaN
  if not good then
    error(string.format("%s: found %.17g, R has %.17g", what, found, right))
  end
  checked = checked + 1
end

local m, r = data.winds.measured, data.winds.reference
local there = ~m:equals(-9999) & ~m:missing() & ~r:missing()
m, r = m:where(there), r:where(there)

local bins = { width = 0.5, lowest = 0, highest = 60, at_least = 3 }
local c = compare.by_bin(m, r, bins)
local names = { mean_ref = "reference_mean", mean_meas = "measured_mean", mean_dev = "deviation_mean",
  sd_dev = "deviation_sd", se_dev = "standard_error", min_dev = "deviation_min", max_dev = "deviation_max",
  rel_mean_dev = "relative_deviation" }
for i = 1, #data.bins.centre do
  local k = math.tointeger(data.bins.centre[i] * 2) + 1
  close("centre", c.centre[k], data.bins.centre[i], 0)
  close("count", c.count[k], data.bins.count[i], 0)
  for name, ours in pairs(names) do
    local right, found = data.bins[name][i], c[ours][k]
    local small = name == "mean_dev" or name == "rel_mean_dev"
    if not c.rows[k].complete or right == missing then
      if found ~= missing then error(string.format("%s of bin %d should be missing", name, k)) end
    else
      close(name .. " of bin " .. k, name == "rel_mean_dev" and found / 100 or found, right, small and 1e-10 or 2e-12)
    end
  end
end

-- R fitted all rows, also those in bins with fewer than 3 of them
local fits = { all_rows = { origin = c.through_origin.records, free = c.line.records },
  bin_means = { origin = c.through_origin.bin_means, free = c.line.bin_means } }
local fields = { slope = "slope", intercept = "intercept", se = "slope_u", se_slope = "slope_u",
  se_intercept = "intercept_u", cov_is = "covariance", residual_sd = "residual_sd", R2_uncentered = "r2_uncentred",
  R2_centered = "r2_centred", R2_pearson = "r2_pearson", R2 = "r2_pearson", df = "dof" }
local f = data.fits
for i = 1, #f.value do
  local field = fields[f.quantity[i]]
  if field then
    close(table.concat({ f.of[i], f.fit[i], field }, " "), fits[f.of[i]][f.fit[i]][field], f.value[i], 2e-12)
  end
end
if checked < 200 then error("only " .. checked .. " values were checked") end
report:value("values that agree with R", checked)
