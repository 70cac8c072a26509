# What checks and criteria there are.
$ windassay checks
>
>   checks
>   name                       title
>   availability               Availability of the unit, by day
>   beam_geometry              Beam geometry, inclinometer and range against what is nominal
>   bench_speed                Radial speed against a known speed, on the bench
>   certificate                Certificate of the unit: all that is known of it, side by side
>   clock                      Clock of the unit against the reference
>   drift                      Change of the unit between two campaigns
>   environment                Operating conditions of the unit
>   heights                    Wind speed over the heights that were compared
>   los_speed                  Line-of-sight speed of one beam against cup and vane, by bin
>   reference_health           State of the reference
>   sensitivity                Sensitivity of the deviation to conditions
>   shear_and_veer             Shear and veer against the reference
>   site                       Site: heights, distances, booms, north references
>   turbulence                 Turbulence against the reference, by bin
>   wind_direction_comparison  Wind direction against the reference
>   wind_field                 Reconstructed wind against the reference: speed and direction
>   wind_speed_comparison      Horizontal wind speed against the reference, by bin
>
>   name                       practice
>   availability               common practice, no source; names of the ratios as in the floating-lidar roadmap
>   beam_geometry              IEC 61400-50-3:2022 clauses 7.2 to 7.4 (recalled), by the public DTU method
>   bench_speed                moving hard target; common practice, no source; uncertainty as of the published flywheel
>   certificate                IEC 61400-50-3, what a certificate holds (recalled)
>   clock                      common practice: correlation of the wind speeds at whole lags; regression on neighbouring intervals for the rest
>   drift                      E_n of the difference, with the part of the reference that both share
>   environment                common practice, no source
>   heights                    IEC 61400-50-2 (recalled): linear between heights, no extrapolation
>   los_speed                  IEC 61400-50-3:2022 clause 7.5 and Table 1 (numbers recalled), by the public DTU method; limits from the criteria
>   reference_health           in-situ comparison of IEC 61400-12-1 Annex K (recalled); rules for stuck and iced sensors: common practice, no source
>   sensitivity                IEC 61400-12-1 Annex L.2 / IEC 61400-50-2, classification (recalled); information only
>   shear_and_veer             power law of IEC 61400-12-1 (recalled); veer as the difference of direction by height
>   site                       IEC 61400-50-3, 7.2 and 7.5 (recalled); IEC 61400-12-1 Annex A for distances (recalled)
>   turbulence                 error metrics of a recommended practice of 2023 on lidar-measured turbulence (definitions recalled, its limits not seen); bins by the reference wind speed
>   wind_direction_comparison  common practice: circular difference, free fit on unwrapped pairs
>   wind_field                 IEC 61400-50-3, 7.6 and annex A (recalled)
>   wind_speed_comparison      IEC 61400-50-2:2022 (method, recalled); limits from the criteria
$ windassay checks availability
>
>   check
>   what      text
>   title     Availability of the unit, by day
>   does      Counts by day the intervals in which the unit gave enough samples, as a share of the calendar, of the intervals in which it was on, and of those in which the reference was valid.
>   practice  common practice, no source; names of the ratios as in the floating-lidar roadmap
>   needs     unit.wind_speed
>
>   parameters
>   name    default  unit  tolerance  text
>   height        0  m             -  height that is looked at (0: the only one, or the reference's)
>   valid        80  %            10  least share of the expected samples for an interval to count as valid
>
>   name    evidence  source
>   height            for the campaign to say
>   valid   recalled  common practice, no source
$ windassay criteria
>
>   criteria
>   name                   title
>   los_2026               Line-of-sight speed, house rule 2026 (invented)
>   no_drift               No drift between two calibrations
>   norsewind              NORSEWInD criteria
>   roadmap_best_practice  Floating-lidar roadmap, best practice
>   roadmap_minimum        Floating-lidar roadmap, minimum
>   wind_field_2026        Reconstructed wind, house rule 2026 (invented)
>
>   name                   source
>   los_2026               field station 2, house rule 2026
>   no_drift               ISO/IEC 17043, E_n
>   norsewind              Hasager et al. 2013, Remote Sens. 5(9), abstract
>   roadmap_best_practice  floating-lidar roadmap, 2013 and 2018; IEA Wind RP 18, 2017
>   roadmap_minimum        floating-lidar roadmap, 2013 and 2018; IEA Wind RP 18, 2017
>   wind_field_2026        field station 2, house rule 2026
$ windassay criteria norsewind
>
>   limits
>   check                  run      require                        lower   upper  unit  evidence
>   wind_speed_comparison  4 to 16  slope_records                   0.98   1.010  1     seen
>   wind_speed_comparison  4 to 16  correlation_records             0.98       -  1     seen
>   wind_speed_comparison  4 to 16  slope_difference_4_8_and_8_12      -   0.015  1     recalled
>   wind_speed_comparison  4 to 16  share_beyond_deviation             -  10.000  %     recalled
>
>   check                  run      require                        source
>   wind_speed_comparison  4 to 16  slope_records                  Hasager et al. 2013, Remote Sens. 5(9), abstract
>   wind_speed_comparison  4 to 16  correlation_records            Hasager et al. 2013, Remote Sens. 5(9), abstract
>   wind_speed_comparison  4 to 16  slope_difference_4_8_and_8_12  NORSEWInD criteria table
>   wind_speed_comparison  4 to 16  share_beyond_deviation         NORSEWInD criteria table
>   note: title: NORSEWInD criteria
>   note: source: Hasager et al. 2013, Remote Sens. 5(9), abstract
>   note: rule: simple
$ windassay checks --json | /usr/bin/python3 -c 'import json, sys; [print(c["name"]) for c in json.load(sys.stdin)]'
> availability
> beam_geometry
> bench_speed
> certificate
> clock
> drift
> environment
> heights
> los_speed
> reference_health
> sensitivity
> shear_and_veer
> site
> turbulence
> wind_direction_comparison
> wind_field
> wind_speed_comparison
