# A unit that is blind to the sign of the speed points the other way now and then: the records stay in and are counted.
$ awk -F, -v OFS=, 'NR > 1 && NR % 50 == 0 { $4 = ($4 + 180) % 360 } { print }' small/unit.csv >turned && mv turned small/unit.csv; windassay run small/campaign.lua --into turned >text; grep -h "turned around\|differ from the vane" text turned/data/tables/wind_direction_comparison.values.csv
>   records turned around             20                     differ by more than 90 degrees
>   note: 20 records differ from the vane by more than 90 degrees: is the unit blind to the sign of the speed, or the vane stuck? They are in the offset and the scatter
> records turned around,20,1,
