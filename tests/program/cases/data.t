# Data files that are not as they must be: file, line, column of the line, what would be right.
# `edit` changes one of the two files by a sed expression and runs the campaign.
$ printf '#!/bin/sh\ncp "$ROOT"/demo/small/*.csv small/\nsed -i "$2" small/$1.csv\nwindassay run small/campaign.lua --into out\n' >edit; chmod +x edit
$ sed 's/decimal  = ",", //' small/campaign.lua >small/dot.lua; windassay run small/dot.lua --into out
! windassay: small/mast.csv:3:18: column 'v mean': '0,99' is not a number
!   the file uses a decimal comma? set decimal = "," for the source
[65]
$ ./edit unit '5s/Z,[0-9.]*,/Z,fast,/'
! windassay: small/unit.csv:5:19: column 'speed': 'fast' is not a number
!   declare it as missing if it means that
[65]
$ ./edit unit '5s/,[0-9.]*$//'
! windassay: small/unit.csv:5:1: 5 fields, 6 expected
[65]
$ ./edit unit '5s/$/,1/'
! windassay: small/unit.csv:5:1: 7 fields, 6 expected
!   does the file write decimals with a comma? it then needs another delimiter, or quotes
[65]
$ ./edit unit '5s/2026-03-02T00:40Z/2026-03-02T00:20Z/'
! windassay: small/unit.csv:5:1: time goes backward by 10 min
!   the rows of a file must be in order of time
[65]
$ ./edit unit '5p'
! windassay: small/unit.csv:6:1: a second row of 2026-03-02T00:40:00Z
!   overlap = "identical" lets equal rows count once
[65]
$ ./edit unit '5s/2026-03-02T00:40Z/2026-03-02T00:41Z/'
! windassay: small/unit.csv:5:1: an average that starts at 2026-03-02T00:31:00Z does not coincide with an interval
!   see zone, stamp and interval of source 'lidar'
[65]
$ ./edit unit '5s/2026-03-02T00:40Z/2026-13-02T00:40Z/'
! windassay: small/unit.csv:5:6: '2026-13-02T00:40Z' is not a time: month 13 is not within 1 to 12
[65]
$ ./edit unit '5s/2026-03-02T00:40Z/2026-03-02T00:40+02:00/'
! windassay: small/unit.csv:5:17: '2026-03-02T00:40+02:00' is not a time: the stamp says UTC+02:00, the campaign UTC
[65]
$ ./edit unit '5s/2026-03-02T00:40Z/yesterday/'
! windassay: small/unit.csv:5:1: 'yesterday' is not a time: the year must have 4 digits
[65]
$ ./edit unit '5s/,[0-9.]*,\([0-9]*\),/,361.5,\1,/'
! windassay: small/unit.csv:5:29: column 'direction': '361.5' is no direction
!   directions lie between 0 and 360 degrees
[65]
$ ./edit unit '1s/speed_sd/speed/'
! windassay: small/unit.csv:1:12: column name 'speed' stands twice
[65]
$ ./edit mast '2s/degC/degF/'
! windassay: small/mast.csv:2:22: the unit is 'degF' here, 'degC' in the campaign
[65]
$ ./edit mast '2s/degC/m/'
! windassay: small/mast.csv:2:22: the unit is 'm' here, 'degC' in the campaign
[65]
$ ./edit mast '2,$d'
! windassay: small/mast.csv:1:1: 0 units, 6 expected
[65]
$ ./edit unit '1,$d'
! windassay: small/unit.csv:1:1: the file is empty
!   a row of column names is needed
[65]
$ ls -d out 2>&1
> ls: cannot access 'out': No such file or directory
[2]
