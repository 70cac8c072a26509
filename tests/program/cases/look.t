# Before weeks are lost: what is there.
$ windassay look small/campaign.lua
>
>   sources
>   source  files  bytes  rows  outside the period  first stamp, UTC      last stamp, UTC
>   lidar       1  50680  1140                   0  2026-03-02T00:10:00Z  2026-03-10T00:00:00Z
>   mast        1  46669  1152                   0  2026-03-02T00:10:00Z  2026-03-10T00:00:00Z
>
>   files
>   source  path      rows  first stamp, UTC      last stamp, UTC
>   lidar   unit.csv  1140  2026-03-02T00:10:00Z  2026-03-10T00:00:00Z
>   mast    mast.csv  1152  2026-03-02T00:10:00Z  2026-03-10T00:00:00Z
>
>   samples
>   source  beam  range [m]  expected  read  read of expected [%]  dropped
>   lidar                        1152  1140                 98.96        0
>   mast                         1152  1152                100.00        0
>
>   channels, interval means
>                                                                      height
>   source  channel              quantity             unit    use         [m]
>   lidar   wind_from_direction  wind_from_direction  degree              8.9
>   lidar   wind_speed           wind_speed           m/s                 8.9
>   mast    cup                  wind_speed           m/s     primary     8.9
>   mast    humidity             relative_humidity    %                     -
>   mast    temperature          air_temperature      degC                  -
>   mast    vane                 wind_from_direction  degree              8.4
>
>                                      range
>   source  channel              beam  [m]    intervals     mean  lowest  highest
>   lidar   wind_from_direction                    1140        -   53.90   349.00
>   lidar   wind_speed                             1140   9.3577    0.46    18.61
>   mast    cup                                    1152   9.3686    0.40    18.48
>   mast    humidity                               1152  74.5104   67.00    93.00
>   mast    temperature                            1152   7.7741    0.50    10.40
>   mast    vane                                   1152        -   53.00   346.30
>
>   longest gaps
>   source  from                  to                    intervals
>   lidar   2026-03-04T10:00:00Z  2026-03-04T12:00:00Z         12
>
>   checks
>   id                                       title                                                will run
>   clock                                    Clock of the unit against the reference              yes
>   availability                             Availability of the unit, by day                     yes
>   wind_speed_comparison                    Horizontal wind speed against the reference, by bin  yes
>   wind_speed_comparison:from_2             Horizontal wind speed against the reference, by bin  yes
>   wind_speed_comparison:4_to_16            Horizontal wind speed against the reference, by bin  yes
>   wind_speed_comparison:norsewind.4_to_16  Horizontal wind speed against the reference, by bin  yes
>   wind_direction_comparison                Wind direction against the reference                 yes
>   note: 1 gaps in all
>   note: lag of lidar.wind_speed behind mast.cup: 0 intervals (correlation 0.9998)
$ windassay look small/campaign.lua --json | /usr/bin/python3 -c 'import json, sys; print(sorted(json.load(sys.stdin)))'
> ['arithmetic', 'campaign', 'checks', 'inputs', 'interface', 'samples', 'schema', 'scripts']
