# Spikes and jumps among samples, by practice.filters in `prepare`. Once a second 8, 8.25, 8.5, 8.75, 8 ...: median
# 8.25, median distance 0.25, so that five standard deviations are 1.85 m/s. Three of 600 samples are 15, 11 and 1 m/s:
# spikes. A jump of more than 6 m/s leads to the 15 and back, to the 1 and back: 4 samples, two of them spikes.
# What is left has the mean (600 * 8.375 - 8.25 - 8.5 - 8.75 - 8 - 8.25) / 595 (the values in whose place they stand).
$ mkdir one; python3 -c 'print("time,v"); [print(f"2026-03-02T00:{i // 60:02d}:{i % 60:02d}Z,{ {101: 15, 203: 11, 400: 1}.get(i, 8 + i % 4 / 4)}") for i in range(600)]' >one/mast.csv
. cat >one/campaign.lua <<'LUA'
. local filters = require "practice.filters"
. return {
.   interface = 1, title = "A cup with spikes (invented)",
.   lidar  = { serial = "NL-0421" },
.   period = { from = "2026-03-02T00:00:00Z", to = "2026-03-02T00:10:00Z", interval = "10 min" },
.   roles  = { unit = { "mast" } },
.   sources = { mast = {
.     files = { "mast.csv" }, expected = { every = "1 s" },
.     time = { column = "time", format = "iso8601", zone = "UTC", stamp = "start" },
.     channels = { v = { quantity = "wind_speed", column = "v", unit = "m/s" } },
.     prepare = function(s)
.       s:drop("spike", filters.spike_in_samples(s.v, 5))
.       s:drop("jump", filters.jump(s.v, 6, "m/s"))
.     end,
.   } },
.   checks = { { "availability" } },
. }
. LUA
. windassay run one/campaign.lua --into out >text; cat out/data/samples.csv; python3 -c 'import csv; [print(f"{h}: {a}") for h, a in zip(*csv.reader(open("out/data/intervals.csv"))) if h.startswith("mast.v")]'
> time,mast.expected,mast.read,mast.dropped: prepare: spike: v,mast.dropped: prepare: spike: cannot be judged: v,mast.dropped: prepare: jump: v,mast.dropped: prepare: jump: cannot be judged: v
> 2026-03-02T00:00:00Z,600,600,3,0,2,0
> mast.v.count: 595
> mast.v.mean [m s-1]: 8.375210084033613
> mast.v.sd [m s-1]: 0.27993159559906666
> mast.v.min [m s-1]: 8
> mast.v.max [m s-1]: 8.75
> mast.v.availability: 0.9916666666666667
