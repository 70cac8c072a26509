# Commands and options that are not there: the nearest is named; nothing else happens.
$ windassay rum small/campaign.lua
! windassay: there is no command 'rum'
!   did you mean 'run'?
[64]
$ windassay xyzzy
! windassay: there is no command 'xyzzy'
!   'windassay --help' lists the commands
[64]
$ windassay run small/campaign.lua --ino out
! windassay: run: unknown option '--ino'
!   did you mean '--into'?
[64]
$ windassay run --jobs 0 small/campaign.lua
! windassay: '--jobs 0' is not a number from 1 to 256
[64]
$ windassay run --jobs two small/campaign.lua
! windassay: '--jobs two' is not a number from 1 to 256
[64]
$ windassay run --into
! windassay: run: option '--into' needs a value
[64]
$ windassay run --into a --into b small/campaign.lua
! windassay: run: '--into' is given twice
[64]
$ windassay run
! windassay: run: 0 words given where 1 is needed
!   usage: windassay run CAMPAIGN.lua
[64]
$ windassay run one.lua two.lua
! windassay: run: 2 words given where 1 is needed
!   usage: windassay run CAMPAIGN.lua
[64]
$ windassay look
! windassay: look: 0 words given where 1 is needed
!   usage: windassay look CAMPAIGN.lua
[64]
$ windassay script small/campaign.lua --data pairs
! windassay: '--data pairs' is not NAME=FILE.csv
[64]
$ windassay script small/campaign.lua --data 1st=small/unit.csv
! windassay: '--data 1st=small/unit.csv' is not NAME=FILE.csv
[64]
$ windassay checks clocks
! windassay: there is no 'clocks' among the checks
!   did you mean 'clock'?
[66]
$ windassay criteria roadmap_minimun
! windassay: there is no 'roadmap_minimun' among the criteria
!   did you mean 'roadmap_minimum'?
[66]
# Files that are not there.
$ windassay run nowhere.lua
! windassay: nowhere.lua: there is no such file
[66]
$ windassay run nowhere/campaign.lua
! windassay: nowhere: cannot find the folder: No such file or directory
[66]
$ windassay look nowhere.lua
! windassay: nowhere.lua: there is no such file
[66]
$ windassay script nowhere.lua
! windassay: nowhere.lua: there is no such file
[66]
$ windassay script empty.lua --data x=nowhere.csv
! windassay: nowhere.csv: cannot be opened: No such file or directory
[66]
$ windassay run nowhere.lua --json
> {
>  "error": {"kind": "missing", "file": "nowhere.lua", "text": "there is no such file"}
> }
[66]
$ sed 's/"unit.csv"/"units.csv"/' small/campaign.lua >small/bad.lua; windassay run small/bad.lua
! windassay: source 'lidar': no file matches 'units.csv'
!   'unit.csv' is there
[66]
$ sed 's/"unit.csv"/"*.dat"/' small/campaign.lua >small/bad.lua; windassay run small/bad.lua
! windassay: source 'lidar': no file matches '*.dat'
!   the folder holds bad.lua, campaign.lua, generate.py and 2 more
[66]
# Nothing was left behind by any of them.
$ ls; ls small
> broken
> small
> bad.lua
> campaign.lua
> generate.py
> mast.csv
> unit.csv
