local check = { title = "A result that is not defined", practice = "none", needs = {}, parameters = {} }
function check.run(_, _, report)
  report:value("spread of one", column.new{ 1 }:sd(), { unit = "1" })
end
return check
