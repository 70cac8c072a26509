-- Classification of a remote sensing device by the conditions.
-- IEC 61400-12-1 Annex L.2, since 2022 IEC 61400-50-2 (formulas and thresholds recalled, check your
-- copy of the standard):
--
--   deviation e = 100 (V_unit - V_ref) / V_ref, bin means over a condition, straight line through
--   them: slope m in % per unit, correlation r
--   sensitivity        S = m sd(condition)
--   significant        |S| >= 0.5 %  or  |S r| >= 0.1 %
--   maximum influence  I = m range(condition), the range from the table of the class
--   accuracy class     A = sqrt(sum I^2) / sqrt(2), over independent significant conditions
--   uncertainty of it  u = A / 100 V / sqrt(3), the class taken as rectangular
--
-- Where the conditions of the use are measured, their own deviations serve better than the class:
--   u = V / 100 sqrt( sum (m (mean condition in use - mean condition in calibration))^2 )

local classification = {}

--- Is a sensitivity significant? `s` and `r` as above, thresholds in %.
function classification.significant(s, r, threshold, with_r)
  return math.abs(s) >= threshold or math.abs(s * r) >= with_r
end

local function root_of_squares(list)
  local sum = 0
  for _, x in ipairs(list) do sum = sum + x * x end
  return math.sqrt(sum)
end

--- Accuracy class in % from a list of maximum influences in %.
function classification.accuracy_class(influences)
  return root_of_squares(influences) / math.sqrt(2)
end

--- Standard uncertainty of a speed from the accuracy class.
function classification.u(accuracy_class, speed)
  return speed * (accuracy_class / 100 / math.sqrt(3))
end

--- The same from the conditions in use: a list of { slope =, use =, calibration = }.
function classification.u_by_conditions(list, speed)
  local parts = {}
  for i, c in ipairs(list) do parts[i] = c.slope * (c.use - c.calibration) end
  return speed * (root_of_squares(parts) / 100)
end

return classification
