# What the program says of itself.
$ windassay
! windassay: acceptance analyses of wind data that anyone can compute again
!
!   windassay run CAMPAIGN.lua                 compute, print the tables, leave a dossier
!   windassay look CAMPAIGN.lua                files, rows, rates, gaps, units, heights, lag: before weeks are lost
!   windassay progress CAMPAIGN.lua            what is missing before a running campaign can be decided
!   windassay agree CAMPAIGN.lua               before the data: write down what is agreed, for `run` to hold to
!   windassay why DOSSIER TIME                 one interval: its values, what became of it and why
!   windassay audit DOSSIER                    compute a dossier again, compare byte for byte
!   windassay decide DOSSIER                   decide again by other criteria, without the data
!   windassay compare DOSSIER DOSSIER          two dossiers side by side: parameters, exclusions, results
!   windassay deliver DOSSIER                  a copy for one customer, in part withheld
!   windassay script FILE.lua                  run a free script over plain tables
!   windassay checks [NAME]                    the checks there are, or one with its parameters
!   windassay criteria [NAME]                  the sets of criteria there are, or one with its limits
!
! 'windassay COMMAND --help' says more. Exit codes: 0 pass or conditional pass, 1 fail or
! conditional fail, 2 inconclusive, 64 misuse, 65 bad data or campaign, 66 file missing,
! 69 script error or limit, 70 our fault, 74 input or output.
[64]
$ windassay --help
> windassay: acceptance analyses of wind data that anyone can compute again
>
>   windassay run CAMPAIGN.lua                 compute, print the tables, leave a dossier
>   windassay look CAMPAIGN.lua                files, rows, rates, gaps, units, heights, lag: before weeks are lost
>   windassay progress CAMPAIGN.lua            what is missing before a running campaign can be decided
>   windassay agree CAMPAIGN.lua               before the data: write down what is agreed, for `run` to hold to
>   windassay why DOSSIER TIME                 one interval: its values, what became of it and why
>   windassay audit DOSSIER                    compute a dossier again, compare byte for byte
>   windassay decide DOSSIER                   decide again by other criteria, without the data
>   windassay compare DOSSIER DOSSIER          two dossiers side by side: parameters, exclusions, results
>   windassay deliver DOSSIER                  a copy for one customer, in part withheld
>   windassay script FILE.lua                  run a free script over plain tables
>   windassay checks [NAME]                    the checks there are, or one with its parameters
>   windassay criteria [NAME]                  the sets of criteria there are, or one with its limits
>
> 'windassay COMMAND --help' says more. Exit codes: 0 pass or conditional pass, 1 fail or
> conditional fail, 2 inconclusive, 64 misuse, 65 bad data or campaign, 66 file missing,
> 69 script error or limit, 70 our fault, 74 input or output.
$ windassay run --help
> windassay run CAMPAIGN.lua
>
> compute, print the tables, leave a dossier
>
> Results go to stdout, talk and progress to stderr. An existing dossier with the same
> evidence is left as it is; a different one is left alone without --replace.
>
> Options:
>   --help                 print this help
>   --json                 print the result as JSON
>   --into DIR             the dossier's folder (else the campaign's name and .dossier, beside it)
>   --jobs N               threads, and checks at a time (else one a processor)
>   --with-data            copy the input files into the dossier
>   --replace              replace a different dossier that is there, unless it was issued
$ windassay look --help
> windassay look CAMPAIGN.lua
>
> files, rows, rates, gaps, units, heights, lag: before weeks are lost
>
> Options:
>   --help                 print this help
>   --json                 print the result as JSON
>   --jobs N               threads (else one a processor)
$ windassay script --help
> windassay script FILE.lua
>
> run a free script over plain tables
>
> The columns of FILE.csv are data.NAME.COLUMN in the script; `report` is as in a check.
> The same sandbox holds: the script opens nothing, sees no clock, and has its limits.
>
> Options:
>   --help                 print this help
>   --json                 print the result as JSON
>   --data NAME=FILE.csv   data.NAME in the script (may be repeated)
$ windassay checks --help
> windassay checks [NAME]
>
> the checks there are, or one with its parameters
>
> Options:
>   --help                 print this help
>   --json                 print the result as JSON
$ windassay criteria --help
> windassay criteria [NAME]
>
> the sets of criteria there are, or one with its limits
>
> Options:
>   --help                 print this help
>   --json                 print the result as JSON
$ windassay --version | grep -cE '^windassay [0-9]+\.[0-9]+\.[0-9]+$'
> 1
