-- Doppler shift and speed along a beam: v = lambda df / 2 (formula seen; Pedersen and Courtney,
-- Atmos. Meas. Tech. 14, 889, 2021). The wavelength scales every speed: 1 nm of 1550 nm is 0.065 %.

local doppler = {}

--- Radial speed in m/s of a frequency shift in Hz and a wavelength in m (numbers or columns).
function doppler.speed(shift, wavelength)
  return shift * wavelength / 2
end

--- Frequency shift in Hz of a radial speed in m/s.
function doppler.shift(speed, wavelength)
  return speed * 2 / wavelength
end

--- Relative error of every speed where the wavelength is `off` longer than taken.
function doppler.gain_error(wavelength, off)
  return off / wavelength
end

return doppler
