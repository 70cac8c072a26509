-- Air: density with humidity, the standard atmosphere, density normalisation.
-- Density of humid air, IEC 61400-12-1 (formula seen in several public texts, constants agree):
--
--   rho = (1 / T) * (B / R0 - phi * Pw * (1 / R0 - 1 / Rw))
--   R0 = 287.05 J/(kg K), Rw = 461.5 J/(kg K), T in K, B in Pa, phi from 0 to 1
--   Pw = 0.0000205 * exp(0.0631846 * T)   [Pa]
--
-- Standard atmosphere, ISO 2533, layer below 11 km (values at sea level recalled):
--
--   T(H) = 288.15 K - 0.0065 K/m * H      p(H) = 101325 Pa * (T(H) / 288.15)^(g / (R * 0.0065))
--   rho(H) = p / (R T)                    R = 287.05287 J/(kg K), g = 9.80665 m/s2

local air = {}

local R0, RW = 287.05, 461.5
local R, G, LAPSE, T0, P0 = 287.05287, 9.80665, 0.0065, 288.15, 101325

--- Where no humidity is measured: 50 %, recalled.
air.HUMIDITY = 50

--- Saturation pressure of water vapour as a column in Pa, from the temperature.
function air.vapour_pressure(temperature)
  local kelvin = temperature:to("K") / { 1, "K" }
  return (kelvin * 0.0631846):exp() * { 0.0000205, "Pa" }
end

--- Density in kg/m3 from columns of temperature, pressure and relative humidity (nil: 50 %).
function air.density(temperature, pressure, humidity)
  local kelvin = temperature:to("K") / { 1, "K" }
  local wet = air.vapour_pressure(temperature) / { 1, "Pa" } * (1 / R0 - 1 / RW)
  wet = humidity and wet * (humidity / { 100, "%" }) or wet * (air.HUMIDITY / 100)
  return (pressure:to("Pa") / { 1, "Pa" } / R0 - wet) / kelvin * { 1, "kg m-3" }
end

--- Temperature (K), pressure (Pa) and density (kg/m3) of the standard atmosphere at geopotential
--- height H (m).
function air.standard(height)
  if height > 11000 or height < -5000 then error("the layer reaches from -5000 to 11000 m") end
  local t = T0 - LAPSE * height
  local p = P0 * (t / T0) ^ (G / (R * LAPSE))
  return t, p, p / (R * t)
end

--- Pressure `up` metres above where pressure and temperature are measured, with the lapse of the
--- standard atmosphere: the step of ISO 2533 from that place on.
function air.pressure_above(pressure, temperature, up)
  local kelvin = temperature:to("K") / { 1, "K" }
  return pressure * ((kelvin - LAPSE * up) / kelvin) ^ (G / (R * LAPSE))
end

--- Wind speed normalised to the density rho0 (1.225 kg/m3): V * (rho / rho0)^(1/3).
function air.normalised_speed(speed, density, reference)
  return speed * (density / { reference or 1.225, "kg m-3" }) ^ (1 / 3)
end

return air
