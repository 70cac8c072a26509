-- The unit's own temperature, tilt, roll and status against its operating envelope: hours outside.
-- A unit that was accepted on a mild spring tells nothing of its winters; this says what it met.

local check = {
  title    = "Operating conditions of the unit",
  does     = "Gives the hours in which the unit's own temperature, tilt and roll were outside of "
          .. "its operating envelope, and how often each status occurred. Decides on hours outside "
          .. "only where criteria say so.",
  practice = "common practice, no source",
  needs    = {},
  parameters = {
    coldest  = { -40, "degC", "lowest temperature of the operating envelope",
                 source = "common practice, no source", evidence = "recalled" },
    hottest  = { 55, "degC", "highest temperature of the operating envelope",
                 source = "common practice, no source", evidence = "recalled" },
    tilt_nominal = { 0, "degree", "tilt as set up", source = "for the campaign to say" },
    roll_nominal = { 0, "degree", "roll as set up", source = "for the campaign to say" },
    tilt_within = { 2, "degree", "how far the tilt may lie from tilt_nominal", tolerance = 1,
                    source = "common practice, no source", evidence = "recalled" },
    roll_within = { 2, "degree", "how far the roll may lie from roll_nominal", tolerance = 1,
                    source = "common practice, no source", evidence = "recalled" },
  },
}

-- What is judged: quantity, lower and upper end of its envelope.
local function envelopes(p)
  return {
    { quantity = "air_temperature", unit = "degC", lower = p.coldest, upper = p.hottest },
    { quantity = "tilt", unit = "degree", lower = p.tilt_nominal - p.tilt_within,
      upper = p.tilt_nominal + p.tilt_within },
    { quantity = "roll", unit = "degree", lower = p.roll_nominal - p.roll_within,
      upper = p.roll_nominal + p.roll_within },
  }
end

-- An interval is outside when its extremes are, where the source gives them, else its mean.
local function outside(channel, e)
  local low = channel:gives("min") and channel.min or channel.mean
  local high = channel:gives("max") and channel.max or channel.mean
  return low:below(e.lower, e.unit), high:above(e.upper, e.unit)
end

local function if_any(column, f)
  if column:count() == 0 then return missing end
  return f(column)
end

local function lowest(c) return c:min() end
local function highest(c) return c:max() end
local function average(c) return c:mean() end

function check.run(campaign, p, report)
  local r = campaign.intervals
  local hour = r.interval / 3600
  local t = { { name = "channel", values = {} }, { name = "unit", values = {} } }
  for _, name in ipairs{ "lower end", "upper end", "lowest", "mean", "highest", "hours below",
                         "hours above", "hours without data" } do
    t[#t + 1] = { name = name, unit = name:find("hours") and "h" or nil, values = {} }
  end
  local rows, any, total = 0, nil, {}
  for _, e in ipairs(envelopes(p)) do
    for _, c in ipairs(r.unit:all{ quantity = e.quantity }) do
      local below, above = outside(c, e)
      local both = below | above
      total[e.quantity] = total[e.quantity] and (total[e.quantity] | both) or both
      any = any and (any | both) or both
      rows = rows + 1
      local row = { tostring(c), e.unit, e.lower, e.upper,
        if_any(c:gives("min") and c.min or c.mean, lowest), if_any(c.mean, average),
        if_any(c:gives("max") and c.max or c.mean, highest), below:count() * hour,
        above:count() * hour, c.mean:missing():count() * hour }
      for k, value in ipairs(row) do t[k].values[rows] = value end
    end
  end

  local state, state_channel, share, hours = {}, {}, {}, {}
  for _, c in ipairs(r.unit:all{}) do
    if c:gives("share") then
      for name, s in pairs(c.share) do
        local n = #state + 1
        state_channel[n], state[n] = tostring(c), name
        share[n] = if_any(s, function(x) return 100 * x:mean() end)
        hours[n] = s:above(0):count() * hour
      end
    end
  end
  if rows == 0 and #state == 0 then
    undefined("the unit gives no temperature, tilt, roll or status")
  end
  if rows > 0 then report:table("envelope", { columns = t }) end
  if #state > 0 then
    report:table("status", { columns = {
      { name = "channel", values = state_channel },
      { name = "status", values = state },
      { name = "mean share of the samples", unit = "%", values = share },
      { name = "hours in which it occurred", unit = "h", values = hours },
    } })
  end
  for _, e in ipairs(envelopes(p)) do
    if total[e.quantity] then
      report:value("hours outside, " .. e.quantity, total[e.quantity]:count() * hour, { unit = "h" })
    else
      report:note("the unit gives no " .. e.quantity)
    end
  end
  if any then
    report:require("hours_outside", any:count() * hour,
      { unit = "h", u = 0, source = "a count, no uncertainty" })
  end
end

return check
