-- How every unit is judged this year (invented agreement): the checks and the criteria.

local decided = { contract = "roadmap_best_practice",
                  information = { "roadmap_minimum", "norsewind" } }

return {
  checks = {
    { "clock" },
    { "availability", criteria = decided },
    { "wind_speed_comparison", criteria = decided },
    { "wind_direction_comparison", criteria = decided },
  },
}
