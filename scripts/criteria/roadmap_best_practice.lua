-- Floating-lidar roadmap (Carbon Trust OWA, 2013; version 2, 2018), best practice.
-- Existence, scope and dates of the roadmap were seen; all numbers are recalled.
local roadmap = require "practice.roadmap"
return roadmap.criteria{
  title = "Floating-lidar roadmap, best practice",
  slope = { 0.98, 1.02 }, r2 = 0.98,
  direction_slope = { 0.97, 1.03 }, direction_offset = 5, direction_r2 = 0.97,
}
