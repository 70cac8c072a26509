# One interval of a dossier: values, samples, what became of it, by what rule, and the numbers that met it.
$ windassay run small/campaign.lua --into out >/dev/null; windassay why out 2026-03-04T01:45Z
> Unit NL-0420 beside the Ravnmoor mast, eight days
> 2026-03-04T01:40:00Z to 2026-03-04T01:50:00Z
>
>   channel                    unit     mean    sd  min  max  count  availability  resultant
>   lidar.wind_from_direction  degree  293.5
>   lidar.wind_speed           m s-1    7.23  0.74              600             1
>   mast.cup                   m s-1    7.32  0.76
>   mast.humidity              %          78
>   mast.temperature           degC      6.4
>   mast.vane                  degree  290.5
>
>   samples of  expected  read  dropped
>   lidar              1     1
>   mast               1     1
>
>   used: clock, availability
>
>   used: wind_speed_comparison
>     reference mast.cup.mean: 7.32 m s-1
>     measured lidar.wind_speed.mean: 7.23 m s-1
>     deviation: -0.09 m s-1, from the largest number 330 of 802
>     bin mast.cup.mean: 7.5 m s-1, there number 8 of 32
>
>   used: wind_speed_comparison:from_2
>     reference mast.cup.mean: 7.32 m s-1
>     measured lidar.wind_speed.mean: 7.23 m s-1
>     deviation: -0.09 m s-1, from the largest number 402 of 981
>     bin mast.cup.mean: 7.5 m s-1, there number 22 of 68
>
>   used: wind_speed_comparison:4_to_16
>     reference mast.cup.mean: 7.32 m s-1
>     measured lidar.wind_speed.mean: 7.23 m s-1
>     deviation: -0.09 m s-1, from the largest number 315 of 769
>     bin mast.cup.mean: 7.5 m s-1, there number 22 of 68
>
>   used: wind_speed_comparison:norsewind.4_to_16
>     reference mast.cup.mean: 7.32 m s-1
>     measured lidar.wind_speed.mean: 7.23 m s-1
>     deviation: -0.09 m s-1, from the largest number 315 of 769
>     bin mast.cup.mean: 7.25 m s-1, there number 10 of 31
>
>   used: wind_direction_comparison
>     reference mast.vane.mean: 290.5 degree
>     measured lidar.wind_from_direction.mean: 293.5 degree
>     deviation: 3 degree, from the largest number 96 of 1012
# A cold and damp night, a turbine's wake, a unit that was off.
$ windassay why out 2026-03-08T02:00Z --check wind_speed_comparison | sed '1,/^  mast  /d'
>
>   excluded: wind_speed_comparison, wind_speed_comparison:from_2, wind_speed_comparison:4_to_16, wind_speed_comparison:norsewind.4_to_16
>     x4  icing possible
>         rule: mast.temperature.mean below 2 degC and mast.humidity.mean above 80 %
>         mast.temperature.mean: 0.6 degC
>         mast.humidity.mean: 91 %
$ windassay why out 2026-03-06T01:00Z --check wind_speed_comparison | sed '1,/^  mast  /d'
>
>   excluded: wind_speed_comparison, wind_speed_comparison:from_2, wind_speed_comparison:4_to_16, wind_speed_comparison:norsewind.4_to_16
>     x6  disturbed sector
>         rule: mast.vane.mean in the sector from 52 to 98 degree
>         mast.vane.mean: 63.5 degree
$ windassay why out 2026-03-04T10:30:00+00:00 | sed '1,/^  mast  /d'
>
>   excluded: clock
>     x2  unit missing
>         rule: lidar.wind_speed.mean missing
>         lidar.wind_speed.mean: missing
>     x5  a neighbouring interval is missing
>         rule: (lag(mast.cup.mean, -1) - lag(mast.cup.mean, 1)) * 0.5 missing or lag(mast.cup.mean, -2) - lag(mast.cup.mean, 2) missing or lag(lidar.wind_speed.mean, 0) missing
>         ((lag(mast.cup.mean, -1) - lag(mast.cup.mean, 1)) * 0.5): -0.07 m s-1
>         (lag(mast.cup.mean, -2) - lag(mast.cup.mean, 2)): -1.69 m s-1
>         lag(lidar.wind_speed.mean, 0): missing
>
>   excluded: availability
>     x1  unit off: cannot be judged
>         rule: not (lidar.wind_speed.count above 0)
>         lidar.wind_speed.count: missing
>     x2  unit below the valid share: cannot be judged
>         rule: not (lidar.wind_speed.availability above 80 % or lidar.wind_speed.availability equals 80 %)
>         lidar.wind_speed.availability: missing
>
>   excluded: wind_speed_comparison, wind_speed_comparison:from_2, wind_speed_comparison:4_to_16, wind_speed_comparison:norsewind.4_to_16
>     x2  unit missing
>         rule: lidar.wind_speed.mean missing
>         lidar.wind_speed.mean: missing
>     x3  unit availability below 80 %: cannot be judged
>         rule: lidar.wind_speed.availability below 80 %
>         lidar.wind_speed.availability: missing
>
>   excluded: wind_direction_comparison
>     x2  unit missing
>         rule: lidar.wind_from_direction.mean missing
>         lidar.wind_from_direction.mean: missing
# With an offset; as a range; as JSON.
$ windassay why out 2026-03-04T11:30+01:00 --check availability | sed '2!d'
> 2026-03-04T10:30:00Z to 2026-03-04T10:40:00Z
$ windassay why out 2026-03-04T10:30 --until 2026-03-04T11:00 | grep '^2026'
> 2026-03-04T10:30:00Z to 2026-03-04T10:40:00Z
> 2026-03-04T10:40:00Z to 2026-03-04T10:50:00Z
> 2026-03-04T10:50:00Z to 2026-03-04T11:00:00Z
$ windassay why out 2026-03-04T10:30/2026-03-04T10:31 --check clock --json | head -30
> {
>  "title": "Unit NL-0420 beside the Ravnmoor mast, eight days",
>  "from": "2026-03-02T00:00:00Z",
>  "to": "2026-03-10T00:00:00Z",
>  "interval_s": 600,
>  "intervals": [
>   {
>    "from": "2026-03-04T10:30:00Z",
>    "to": "2026-03-04T10:40:00Z",
>    "values": [
>     {"name": "lidar.wind_from_direction.mean", "value": null, "unit": "degree"},
>     {"name": "lidar.wind_speed.count", "value": null},
>     {"name": "lidar.wind_speed.mean", "value": null, "unit": "m s-1"},
>     {"name": "lidar.wind_speed.sd", "value": null, "unit": "m s-1"},
>     {"name": "lidar.wind_speed.availability", "value": null},
>     {"name": "mast.cup.mean", "value": 16.94, "unit": "m s-1"},
>     {"name": "mast.cup.sd", "value": 1.51, "unit": "m s-1"},
>     {"name": "mast.humidity.mean", "value": 73, "unit": "%"},
>     {"name": "mast.temperature.mean", "value": 9.6, "unit": "degC"},
>     {"name": "mast.vane.mean", "value": 255.7, "unit": "degree"}
>    ],
>    "samples": [
>     {"of": "lidar", "expected": 1, "read": 0},
>     {"of": "mast", "expected": 1, "read": 1}
>    ],
>    "accounts": [
>     {
>      "check": "clock",
>      "account": "intervals",
>      "state": "excluded",
# With the raw rows: found by their digest under whatever name; a file that changed is not taken for it.
$ mkdir other; cp small/mast.csv other/renamed; sed 's/,600,/,599,/' small/unit.csv >other/unit.csv; windassay why out 2026-03-05T12:00 --check clock --data other | sed '1,/^  used/d'
>
>   mast.csv, rows of this interval: 1
>     line: interval end | v mean | v sd | d mean | t mean | rh mean
>     507: 05.03.2026 13:10 | 12,40 | 1,39 | 168,1 | 10,0 | 72
>   unit.csv: it is not the file that was read: its digest is another
$ windassay why out 2026-03-05T12:00 --check clock --data small --json | sed -n '/"raw"/,$p'
>    "raw": {
>     "files": [
>      {
>       "path": "unit.csv",
>       "source": "lidar",
>       "sha256": "dff4d86a8bf9ddae31d159810bfc414802d76b3b7eb81ccab47560b488087123",
>       "names": ["time", "speed", "speed_sd", "direction", "samples", "availability"],
>       "rows": [
>        {
>         "line": 494,
>         "fields": ["2026-03-05T12:10Z", "12.48", "1.35", "168.8", "600", "1.000"]
>        }
>       ]
>      },
>      {
>       "path": "mast.csv",
>       "source": "mast",
>       "sha256": "7ca713490ac655efb42d9f4124a936bd33d80ee22fd6d763ef3b22ec9ba1c169",
>       "names": ["interval end", "v mean", "v sd", "d mean", "t mean", "rh mean"],
>       "rows": [
>        {
>         "line": 507,
>         "fields": ["05.03.2026 13:10", "12,40", "1,39", "168,1", "10,0", "72"]
>        }
>       ]
>      }
>     ],
>     "not_found": [],
>     "changed": []
>    }
>   }
>  ]
> }
$ rm other/renamed; windassay why out 2026-03-05T12:00 --check clock --data other | tail -2
>   mast.csv: no file of its digest was found
>   unit.csv: it is not the file that was read: its digest is another
# What cannot be asked.
$ windassay why out 2026-03-10T00:00Z
! windassay: 2026-03-10T00:00Z lies outside of the campaign's grid
!   the grid: 1152 intervals of 600 s from 2026-03-02T00:00:00Z to 2026-03-10T00:00:00Z
[64]
$ windassay why out yesterday
! windassay: 'yesterday' is not a time
!   2026-03-11T08:10Z, or with an offset: 2026-03-11T09:10+01:00
[64]
$ windassay why out 2026-03-05T12:00 --check wind_sped_comparison
! windassay: the dossier has no check 'wind_sped_comparison' that kept an account
!   did you mean 'wind_speed_comparison'?
[64]
$ windassay why out 2026-03-05T12:00 --until 2026-03-05T11:00
! windassay: the range ends before it begins
[64]
$ windassay why nowhere 2026-03-05T12:00
! windassay: nowhere: cannot open the dossier: No such file or directory
[66]
# A dossier that is not whole is not believed.
$ sed -i 's/used/x1/' out/data/ledger.csv; windassay why out 2026-03-05T12:00
! windassay: data/ledger.csv: its bytes are not those of the manifest (sha256 28e210e93d6b..., not ea414733b633...)
[65]
