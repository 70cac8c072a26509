-- One certificate for a unit that was accepted in parts: bench sheets, beams that passed the reference
-- one after another (also in several campaigns), the wind that it reconstructs, an earlier year. What
-- this campaign's checks and the dossiers that it uses say of the unit stands side by side; nothing is
-- computed anew and nothing decided: the outcomes stand in the record and in the report, each with its
-- campaign.
-- After the certificate of a calibration in IEC 61400-50-3 (clause list recalled, check your copy):
-- geometry, range, line-of-sight speeds, reconstruction, each with its own uncertainty.

local check = {
  title    = "Certificate of the unit: all that is known of it, side by side",
  practice = "IEC 61400-50-3, what a certificate holds (recalled)",
  needs    = { "results" },
  parameters = {
    k = { 2, "1", "coverage factor of what is printed", source = "common practice, no source",
          evidence = "recalled" },
  },
}

local HERE = "this campaign"

-- The dossiers that are used, of this unit, and this campaign: { name, of }. One of another unit (a
-- reference lidar's own, say) is not part of this one's certificate.
local function parts(campaign, report)
  local list, serial = {}, campaign.lidar.serial
  for name, dossier in pairs(campaign.uses) do
    if dossier.lidar.serial == serial then
      list[#list + 1] = { name = name, of = dossier }
      for _, key in ipairs{ "firmware", "configuration", "sign" } do
        local a, b = dossier.lidar[key], campaign.lidar[key]
        if a ~= b then
          report:note(string.format("%s in '%s': %s, here: %s", key, name, tostring(a or "not stated"),
            tostring(b or "not stated")))
        end
      end
    else
      report:note(string.format("'%s' is of %s, not of this unit: it is left out", name, dossier.lidar.serial))
    end
  end
  table.sort(list, function(a, b) return a.of.period.from < b.of.period.from end)
  list[#list + 1] = { name = HERE, of = campaign.results }
  return list
end

local function table_of(report, name, columns, rows)
  local list = {}
  for k, c in ipairs(columns) do
    local values = {}
    for i, row in ipairs(rows) do values[i] = row[k] == nil and missing or row[k] end
    list[k] = { name = c[1], unit = c[2], values = values }
  end
  report:table(name, { columns = list })
end

-- The range of a condition, as text.
local function covered(c, quantity)
  for _, v in ipairs(c.valid) do
    if v.quantity == quantity then return string.format("%g to %g %s", v.lowest, v.highest, v.unit) end
  end
end

local function calibrations(list, p)
  local rows, names = {}, {}
  for _, part in ipairs(list) do
    for id, one in pairs(part.of.checks) do
      for _, c in ipairs(one.calibrations or {}) do
        rows[#rows + 1] = { c.name, c.gain, p.k * c.gain_u, covered(c, c.quantity), c.from, c.to, part.name, id }
        names[c.name] = true
      end
    end
  end
  return rows, names
end

-- Beams that the unit has and of which nothing is calibrated in any of the parts.
local function open_beams(campaign, rows_by_name, report)
  local any = false
  for name in pairs(rows_by_name) do any = any or name:find("^los_speed") ~= nil end
  if not any then return end
  for beam in ipairs(campaign.lidar.beams or {}) do
    local known = false
    for name in pairs(rows_by_name) do
      known = known or name:find(string.format("^los_speed of beam %d ", beam)) ~= nil
    end
    if not known then report:note(string.format("beam %d is not calibrated", beam)) end
  end
end

-- What criteria may limit, of every check of every part.
local function results(list, p)
  local rows = {}
  for _, part in ipairs(list) do
    for id, one in pairs(part.of.checks) do
      if one.status ~= "ran" then
        rows[#rows + 1] = { part.name, id, one.status, missing, missing, missing }
      end
      for name, r in pairs(one.requirements) do
        rows[#rows + 1] = { part.name, id, name, r.value, r.u and p.k * r.u, r.unit }
      end
    end
  end
  return rows
end

function check.run(campaign, p, report)
  local list = parts(campaign, report)
  report:value("unit", campaign.lidar.serial)
  report:value("parts", #list, { unit = "1" })
  local rows = {}
  for i, part in ipairs(list) do
    local r = part.of.report or {}
    rows[i] = { part.name, part.of.title, r.number, part.of.period.from, part.of.period.to,
                part.of.sha256 and string.sub(part.of.sha256, 1, 12) }
  end
  table_of(report, "parts of the certificate",
    { { "part" }, { "title" }, { "report" }, { "from" }, { "to" }, { "record" } }, rows)
  local names
  rows, names = calibrations(list, p)
  if #rows > 0 then
    table_of(report, "calibrations", { { "calibration of" }, { "gain", "1" },
      { string.format("U (k = %g)", p.k), "1" }, { "speeds" }, { "from" }, { "to" }, { "part" }, { "check" } }, rows)
  else
    report:note("none of the parts calibrates the unit")
  end
  open_beams(campaign, names, report)
  table_of(report, "results", { { "part" }, { "check" }, { "result" }, { "value" },
    { string.format("U (k = %g)", p.k) }, { "unit" } }, results(list, p))
end

return check
