local check = { title = "Asks for what is not there", practice = "none", needs = {}, parameters = {} }
function check.run(campaign)
  return campaign.intervals.reference:find{ quantity = "wind_sped" }.mean
end
return check
