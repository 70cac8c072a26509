# Two dossiers side by side: what differs. Other parameters, the same data.
$ windassay run small/campaign.lua --into first >/dev/null; sed 's/"wind_speed_comparison", /"wind_speed_comparison", availability = 95, /; s/{ "clock" },//; s/revision = 1/revision = 2/' small/campaign.lua >small/other.lua; windassay run small/other.lua --into second >/dev/null; windassay compare first second | grep -v ':from_2\|:4_to_16\|:norsewind' | sed 's/record [0-9a-f]*/record X/'
>
>   campaign
>   campaign  first  second
>   revision  1      2
>
>   outcomes
>   check  status         outcome
>   clock  ran -> absent  no decision asked -> absent
>
>   parameters
>   check                                    parameter     unit  first  second
>   wind_speed_comparison                    availability  %     80     95
>
>   exclusions
>   check                                    account    reason                        met           left
>   wind_speed_comparison                    intervals  unit availability below 80 %  34 -> absent  1106 -> absent
>   wind_speed_comparison                    intervals  icing possible                42            1066 -> 1048
>   wind_speed_comparison                    intervals  vane stuck                    0             1066 -> 1048
>   wind_speed_comparison                    intervals  disturbed sector              48            1019 -> 1002
>   wind_speed_comparison                    intervals  unit availability below 95 %  absent -> 52  absent -> 1088
>
>   accounts
>   check                                    account    used        records only  outside     excluded
>   wind_speed_comparison                    intervals  802 -> 789  0             217 -> 213  133 -> 150
>
>   values
>   check                                    value                      unit  first        second
>   wind_speed_comparison                    records compared           1     802          789
>   wind_speed_comparison                    forced slope, records      1     1.006301     1.006208
>   wind_speed_comparison                    r2 uncentred, records      1     0.9999283    0.9999276
>   wind_speed_comparison                    r2 centred, records        1     0.9993866    0.9993822
>   wind_speed_comparison                    r2 Pearson, records        1     0.9993919    0.9993881
>   wind_speed_comparison                    free slope, records        1     1.004115     1.003933
>   wind_speed_comparison                    free intercept, records    m/s   0.0241798    0.02509646
>   wind_speed_comparison                    forced slope, bin means    1     1.006248     1.00613
>   wind_speed_comparison                    r2 uncentred, bin means    1     0.9999982    0.9999979
>   wind_speed_comparison                    r2 centred, bin means      1     0.9999843    0.9999816
>   wind_speed_comparison                    r2 Pearson, bin means      1     0.9999893    0.9999872
>   wind_speed_comparison                    free slope, bin means      1     1.004135     1.003891
>   wind_speed_comparison                    free intercept, bin means  m/s   0.02386267   0.02529034
>
>   check                                    value                      u                             change
>   wind_speed_comparison                    records compared                                         -13
>   wind_speed_comparison                    forced slope, records      0.0003010984 -> 0.0003049434  -9.33e-05
>   wind_speed_comparison                    r2 uncentred, records                                    -6.63e-07
>   wind_speed_comparison                    r2 centred, records                                      -4.31e-06
>   wind_speed_comparison                    r2 Pearson, records                                      -3.86e-06
>   wind_speed_comparison                    free slope, records        0.0008756899 -> 0.0008855348  -0.000181
>   wind_speed_comparison                    free intercept, records    0.009097265 -> 0.009176849    +0.000917
>   wind_speed_comparison                    forced slope, bin means    0.0002760139 -> 0.0002990738  -0.000118
>   wind_speed_comparison                    r2 uncentred, bin means                                  -3.15e-07
>   wind_speed_comparison                    r2 centred, bin means                                    -2.74e-06
>   wind_speed_comparison                    r2 Pearson, bin means                                    -2.13e-06
>   wind_speed_comparison                    free slope, bin means      0.0006848399 -> 0.0007496109  -0.000244
>   wind_speed_comparison                    free intercept, bin means  0.007274688 -> 0.007962958    +0.00143
>
>   requirements
>   check                                    requirement                    criteria         unit  first
>   wind_speed_comparison                    slope_records                                   1     1.006301
>   wind_speed_comparison                    slope_bin_means                                 1     1.006248
>   wind_speed_comparison                    r2_centred_records                              1     0.9993866
>   wind_speed_comparison                    r2_pearson_records                              1     0.9993919
>   wind_speed_comparison                    correlation_records                             1     0.9996959
>   wind_speed_comparison                    slope_difference_4_8_and_8_12                   1     2.355712e-05
>
>   check                                    requirement                    second        outcome          change
>   wind_speed_comparison                    slope_records                  1.006208      for information  -9.33e-05
>   wind_speed_comparison                    slope_bin_means                1.00613       for information  -0.000118
>   wind_speed_comparison                    r2_centred_records             0.9993822     for information  -4.31e-06
>   wind_speed_comparison                    r2_pearson_records             0.9993881     for information  -3.86e-06
>   wind_speed_comparison                    correlation_records            0.999694      for information  -1.93e-06
>   wind_speed_comparison                    slope_difference_4_8_and_8_12  3.323626e-05  for information  +9.68e-06
>
>   tables
>   check                                    table   cells that differ  rows
>   wind_speed_comparison                    by bin                 77  25
>   note: first: first, record X...
>   note: second: second, record X...
# The same dossier; a dossier of the same campaign.
$ windassay run small/campaign.lua --into again >/dev/null; windassay compare first again | sed 's/record [0-9a-f]*/record X/'
>   note: first: first, record X...
>   note: second: again, record X...
>   note: the records are the same, byte for byte
$ windassay compare first first --all | sed -n '1,/^  outcomes/p'
>
>   campaign
>   campaign    first                                              second
>   title       Unit NL-0420 beside the Ravnmoor mast, eight days  Unit NL-0420 beside the Ravnmoor mast, eight days
>   number      R-0420                                             R-0420
>   revision    1                                                  1
>   status      preliminary                                        preliminary
>   customer    C-031 (invented)                                   C-031 (invented)
>   serial      NL-0420                                            NL-0420
>   kind        ground lidar                                       ground lidar
>   firmware    4.2.0                                              4.2.0
>   from        2026-03-02T00:00:00Z                               2026-03-02T00:00:00Z
>   to          2026-03-10T00:00:00Z                               2026-03-10T00:00:00Z
>   interval_s  600                                                600
>   intervals   1152                                               1152
>   outcome     pass                                               pass
>
>   outcomes
# Other data: the limits stay, the outcome does not.
$ sed 's/2026-03-10T00/2026-03-04T00/' small/campaign.lua >small/short.lua; windassay run small/short.lua --into short >/dev/null; windassay compare first short | sed -n '1,/^  exclusions/p;/_comparison:from_2 *slope_records/p'
>
>   campaign
>   campaign   first                 second
>   to         2026-03-10T00:00:00Z  2026-03-04T00:00:00Z
>   intervals  1152                  288
>   outcome    pass                  inconclusive
>
>   outcomes
>   check                                    status               outcome
>   wind_speed_comparison:from_2             ran -> inconclusive  pass -> inconclusive
>   wind_speed_comparison:4_to_16            ran -> inconclusive  pass -> inconclusive
>   wind_speed_comparison:norsewind.4_to_16  ran -> inconclusive  for information
>   wind_direction_comparison                ran -> inconclusive  pass -> inconclusive
>
>   exclusions
>   wind_speed_comparison:from_2             slope_records                  roadmap_minimum  1       1.006316
>   wind_speed_comparison:from_2             slope_records                  1.006835      pass -> inconclusive  +0.000519
$ windassay compare first second --json >json; echo $?; python3 -c 'import json; j = json.load(open("json")); print(j["same"], j["first"]["outcome"], j["count"] == len(j["differences"]) > 100, [t["name"] for t in j["tables"]]); print(j["differences"][0])'
> 1
> False pass True ['campaign', 'outcomes', 'parameters', 'exclusions', 'accounts', 'values', 'requirements', 'tables']
> {'place': 'campaign, file', 'before': 'campaign.lua', 'after': 'other.lua'}
$ windassay compare first nowhere
! windassay: nowhere: cannot open the dossier: No such file or directory
[66]
# Of two dossiers, the one that is none is named.
$ mkdir none; windassay compare none none
! windassay: none/manifest-sha256.txt: there is no such file
!   this is no dossier, or not a whole one
[65]
