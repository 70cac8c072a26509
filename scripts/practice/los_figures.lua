-- The figures of a line-of-sight calibration.

local figures = {}

--- The response of the beam over all directions, with the coarse fit's cosine.
function figures.response(report, theta, response, coarse, rectified, scan)
  local x, y = {}, {}
  for d = 0, 360, 2 do
    x[#x + 1], y[#y + 1] = d, coarse.amplitude * angle.cos(d - coarse.direction)
    if rectified then y[#y] = math.abs(y[#y]) end
  end
  report:figure("response against direction", {
    title = "Line-of-sight speed over reference speed and cosine of the tilt",
    x = { label = "reference wind direction", unit = "degree" },
    y = { label = "response", unit = "1" },
    series = { { kind = "points", label = "records", x = theta, y = response },
               { kind = "line", label = "cosine", x = x, y = y },
               { kind = "mark", label = "line-of-sight direction", x = scan.direction } },
  })
end

--- The residuals of the scan and the parabola through them.
function figures.scan(report, scan)
  local c0, c1, c2 = scan.parabola[1], scan.parabola[2], scan.parabola[3]
  local middle = scan.at[(#scan.at + 1) // 2]
  local psi, bent = {}, {}
  for i = 1, #scan.at do
    local t = scan.at[i] - middle
    psi[i], bent[i] = scan.at[i], c0 + c1 * t + c2 * t * t
  end
  report:figure("residual scan", {
    title = "Residual sum of squares by assumed direction, and its parabola",
    x = { label = "assumed line-of-sight direction", unit = "degree" },
    y = { label = "residual sum of squares", unit = "m2 s-2" },
    series = { { kind = "points", label = "scan", x = scan.at, y = scan.rss_at },
               { kind = "line", label = "parabola", x = psi, y = bent },
               { kind = "mark", label = "vertex", x = middle + scan.vertex } },
  })
end

--- Records and the forced fit.
function figures.fit(report, c, v)
  local top = math.max(v:max(), c.projected:max())
  report:figure("fit", {
    title = "Records and the forced fit of the bin means",
    x = { label = "projected reference speed", unit = "m s-1" },
    y = { label = "line-of-sight speed", unit = "m s-1" },
    series = { { kind = "points", label = "records", x = c.projected, y = v },
               { kind = "line", label = string.format("y = %.4f x", c.gain),
                 x = { 0, top }, y = { 0, c.gain * top } } },
  })
end

--- Mean deviations with their expanded uncertainty.
function figures.deviation(report, by, expanded)
  report:figure("deviation by bin", {
    title = "Mean deviation by bin, with the expanded uncertainty (k = 2)",
    x = { label = "projected reference speed", unit = "m s-1" },
    y = { label = "line-of-sight minus reference", unit = "m s-1" },
    series = { { kind = "level", label = "no deviation", y = 0 },
               { kind = "error", label = "mean deviation", x = by.reference_mean,
                 y = by.deviation_mean, u = expanded } },
  })
end

return figures
