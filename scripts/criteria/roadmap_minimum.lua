-- Floating-lidar roadmap (Carbon Trust OWA, 2013; version 2, 2018), minimum.
-- Existence, scope and dates of the roadmap were seen; all numbers are recalled.
local roadmap = require "practice.roadmap"
return roadmap.criteria{
  title = "Floating-lidar roadmap, minimum",
  slope = { 0.97, 1.03 }, r2 = 0.97,
  direction_slope = { 0.95, 1.05 }, direction_offset = 10, direction_r2 = 0.95,
}
