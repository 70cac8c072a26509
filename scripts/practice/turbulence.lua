-- Turbulence intensity and its error metrics.
-- TI = standard deviation / mean of the wind speed over the interval, of one instrument.
-- Metrics as a recommended practice of 2023 on lidar-measured turbulence defines them (definitions
-- recalled; its numeric limits were not seen, so there are none here):
--
--   e_j   = (TI_unit,j - TI_ref,j) / TI_ref,j
--   MRBE  = mean(e_j)             mean relative bias error
--   RRMSE = sqrt(mean(e_j^2))     relative root mean square error
--   representative TI of a bin = mean(TI) + 1.28 sd(TI): the 90 % quantile if TI were normal
--
-- What a lidar sees of turbulence is averaged over its volume and mixed across its beams: it is not
-- the quantity that a cup measures. TI of low wind means little: 4 m/s and above is usual.

local turbulence = {}

turbulence.QUANTILE_90 = 1.28

--- Turbulence intensity in % from columns of standard deviation and mean.
function turbulence.intensity(sd, mean)
  return (sd / mean):to("%")
end

--- e_j in %; missing where the reference's intensity is 0.
function turbulence.relative_error(unit, reference)
  return ((unit - reference) / reference):to("%")
end

--- Root of the mean square of a column, in its unit.
function turbulence.rms(c)
  return math.sqrt((c * c):mean())
end

--- Mean relative bias error and relative root mean square error, both in %.
function turbulence.metrics(unit, reference)
  local e = turbulence.relative_error(unit, reference)
  return e:mean(), turbulence.rms(e)
end

--- Representative intensity from mean and standard deviation, numbers or columns of bins.
function turbulence.representative(mean, sd)
  return mean + turbulence.QUANTILE_90 * sd
end

return turbulence
