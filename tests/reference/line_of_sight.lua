-- The calibration of a line of sight against records of known geometry:
--   windassay script line_of_sight.lua --data exact_286=line_of_sight/exact_286.csv ... (CMakeLists)
-- Expected: own work by 60-digit arithmetic (mpmath), checked by scipy; the worked example of 16
-- records: R 4.2 (computed). Each agrees to 1e-10 or better; how far is printed.
local los = require "practice.line_of_sight"
local worst = 0

local function close(what, found, right, size)
  local off = math.abs(found - right) / (size or math.max(math.abs(right), 1e-300))
  local good = off <= 1e-10 -- false for NaN
  if not good then
    error(string.format("%s: found %.17g, right is %.17g", what, found, right))
  end
  worst = math.max(worst, off)
end

local e = data.expected
local function expected(case, name)
  for i = 1, #e.name do
    if e.case[i] == case and e.name[i] == name then return e.value[i] end
  end
  error(case .. " expects no " .. name)
end

local function check_scan(case, t, o, kind)
  local at = case .. " " .. kind
  local s = los.scan(t.ref_speed, t.ref_dir, t.los_speed, o)
  close(at .. " records", s.n, expected(case, "scan_rows"))
  close(at .. " parabola", s.direction, expected(case, kind .. ".parabola_all_points_theta"), 1)
  close(at .. " minimum", s.continuous, expected(case, kind .. ".continuous_min_theta"), 1)
  close(at .. " least", s.rss, expected(case, kind .. ".rss_at_continuous_min"), 1)
  local column = kind == "scan_free" and "rss_free" or "rss_forced"
  local n = 0
  for i = 1, #data.scan.direction do
    if data.scan.case[i] == case then
      n = n + 1
      close(at .. " candidate", s.rows[n].direction, data.scan.direction[i] % 360, 1)
      close(at .. " rss", s.rows[n].rss, data.scan[column][i], 1)
    end
  end
  if n ~= #s.rows then error("candidates: " .. n .. " " .. #s.rows) end
  return s
end

local function check_bins(case, c)
  local b, n = data.bins, 0
  for i = 1, #b.centre do
    if b.case[i] == case then
      n = n + 1
      local row = c.rows[n]
      close(case .. " centre", row.centre, b.centre[i])
      close(case .. " count", row.count, b.count[i], 1)
      if row.complete ~= (b.complete[i] == 1) then error(case .. ": complete") end
      if row.complete then
        for _, name in ipairs{ "reference_mean", "measured_mean", "deviation_mean", "deviation_sd" } do
          close(case .. " " .. name, row[name], b[name][i], 1)
        end
      end
    end
  end
  if n ~= #c.rows then error(case .. ": " .. n .. " bins expected, found " .. #c.rows) end
end

for _, case in ipairs{ "exact_286", "exact_wrap_0", "noisy_286", "rect_exact" } do
  local t = data[case]
  local tilt, centre = expected(case, "params.tilt_deg"), expected(case, "params.scan_centre_deg")
  local rectified = expected(case, "params.rectified") == 1
  if not rectified then
    local plain = los.coarse(t.ref_speed, t.ref_dir, t.los_speed, { tilt = tilt })
    close(case .. " coarse", plain.direction, expected(case, "coarse_no_offset.theta0_deg"))
    close(case .. " amplitude", plain.amplitude, expected(case, "coarse_no_offset.A"))
    local lifted = los.coarse(t.ref_speed, t.ref_dir, t.los_speed, { tilt = tilt, offset = true })
    close(case .. " coarse, offset", lifted.direction, expected(case, "coarse_with_offset.theta0_deg"))
    close(case .. " offset", lifted.offset, expected(case, "coarse_with_offset.B"), 1)
  else
    local coarse = los.coarse(t.ref_speed, t.ref_dir, t.los_speed,
      { tilt = tilt, rectified = true, near = 180 })
    close(case .. " coarse", coarse.direction, expected(case, "truth.theta_los_deg"))
    close(case .. " amplitude", coarse.amplitude, expected(case, "truth.gain"))
  end
  local o = { centre = centre, half_width = 1, step = 0.1, tilt = tilt, half_sector = 40,
              lowest = 3, highest = 17 }
  local s = check_scan(case, t, o, "scan_origin")
  o.intercept = true
  check_scan(case, t, o, "scan_free")

  local c = los.calibrate(t.ref_speed, t.ref_dir, t.los_speed, { direction = s.direction, tilt = tilt,
    half_sector = 40, centre = centre, width = 0.5, lowest = 3, highest = 17, at_least = 3 })
  close(case .. " gain, records", c.records.gain, expected(case, "forced_all_rows.gain"))
  close(case .. " u, records", c.records.gain_u, expected(case, "forced_all_rows.se"), 1)
  close(case .. " gain", c.gain, expected(case, "forced_bin_means.gain"))
  close(case .. " u", c.gain_u, expected(case, "forced_bin_means.se"), 1)
  close(case .. " r2 centred", c.bin_means.r2_centred, expected(case, "forced_bin_means.R2_centered"))
  close(case .. " r2 uncentred", c.bin_means.r2_uncentred, expected(case, "forced_bin_means.R2_uncentered"))
  close(case .. " bins", c.bin_means.n, expected(case, "forced_bin_means.n_bins"))
  close(case .. " free slope", c.bin_means.line.slope, expected(case, "free_bin_means.gain"))
  close(case .. " free intercept", c.bin_means.line.intercept, expected(case, "free_bin_means.intercept"), 1)
  check_bins(case, c)
end
print(string.format("line of sight: largest difference %.1e", worst))

-- 16 records, tilt 1.5 degrees: R 4.2 (computed); the digits that were kept.
local function digits(what, found, right, n)
  local form = "%." .. n .. "g"
  if string.format(form, found) ~= string.format(form, right) then
    error(string.format("%s: found %.17g, right is %.17g", what, found, right))
  end
end
local V = column.new({ 4.74, 5.32, 6.22, 6.64, 7.70, 7.97, 9.15, 9.33, 10.59, 10.70, 12.00, 12.10, 13.39,
  13.53, 14.76, 14.97, missing }, "m/s")
local theta = column.new({ 322.7, 279.1, 255.6, 305.3, 315.9, 263.5, 266.4, 318.1, 301.9, 254.4, 282.8,
  323.0, 284.2, 254.0, 300.6, 318.8, 287 }, "degree")
local v = column.new({ 3.921, 5.344, 5.361, 6.366, 6.781, 7.285, 8.546, 8.038, 10.317, 9.068, 12.080,
  9.925, 13.451, 11.337, 14.400, 12.799, 8 }, "m/s")
local coarse = los.coarse(V, theta, v, {})
digits("a", coarse.amplitude, 1.006510356, 10)
digits("theta_LOS, coarse", coarse.direction, 287.3350506, 10)
local s = los.scan(V, theta, v, { centre = 287.3, half_width = 1, step = 0.1, tilt = 1.5 })
digits("RSS(-1)", s.rows[1].rss, 0.1136282033, 10)
digits("RSS(0)", s.rows[11].rss, 0.02116117912, 10)
digits("RSS(+1)", s.rows[21].rss, 0.1093061677, 10)
digits("c0", s.parabola[1], 0.02115983706, 10)
digits("c1", s.parabola[2], -0.002084810731, 10)
digits("c2", s.parabola[3], 0.09030515902, 10)
digits("vertex", s.direction, 287.3115431, 10)
digits("minimum", s.continuous, 287.3107333, 10)
digits("least RSS", s.rss, 0.02115077755, 10)
digits("u of the vertex", s.direction_u, 0.12934, 5)
local c = los.calibrate(V, theta, v, { direction = s.direction, tilt = 1.5, at_least = 1 })
digits("m", c.records.gain, 1.005700513, 10)
digits("se", c.records.gain_u, 0.0009871305353, 10)
digits("s", c.records.residual_sd, 0.0375507095, 9)
digits("R2 uncentred", c.records.r2_uncentred, 0.999985549, 9)
digits("R2 centred", c.records.r2_centred, 0.9998582585, 10)
digits("r2", c.records.r2_pearson, 0.9998758315, 10)
digits("free slope", c.records.line.slope, 1.00172261608, 10)
digits("free slope, se", c.records.line.slope_u, 0.002983431703, 10)
digits("free intercept", c.records.line.intercept, 0.03993752416, 9)
digits("free intercept, se", c.records.line.intercept_u, 0.028372634928, 10)
print("worked example of 16 records: 22 values agree")
