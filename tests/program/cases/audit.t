# A dossier computed again: from its intervals, from raw data, from data of its own. (How many files
# there are is not this case's concern.)
$ cat >audit <<'SH'
. windassay audit "$@" >text
. code=$?
. sed -E 's/[0-9]+ (of [0-9]+ )?(files|checks|of the presentation)/N \2/g' text
. exit $code
. SH
. windassay run small/campaign.lua --into plain >/dev/null; sh audit plain
> audit of plain
>
>   manifest        identical      N files, each with the digest that the manifest states
>   signature       none
>   decision        identical      N checks decided again
>   from raw data   not done       2 of 2 inputs are not in the dossier; --data DIR says where they are
>   from intervals  identical      N files of evidence are the same, N of the presentation
>   not computed    the statistics of the intervals from the raw data
>
> made by windassay 0.2.0, arithmetic 2; audited by windassay 0.2.0, arithmetic 2
>
> identical, from the intervals on; the raw data were not read
$ sh audit plain --data small
> audit of plain
>
>   manifest        identical      N files, each with the digest that the manifest states
>   signature       none
>   decision        identical      N checks decided again
>   from raw data   identical      N files of evidence are the same, N of the presentation
>
> made by windassay 0.2.0, arithmetic 2; audited by windassay 0.2.0, arithmetic 2
>
> identical, from the raw data on
$ sh audit plain --data small --from-intervals | sed -n 3,8p
>   manifest        identical      N files, each with the digest that the manifest states
>   signature       none
>   decision        identical      N checks decided again
>   from intervals  identical      N files of evidence are the same, N of the presentation
>   not computed    the statistics of the intervals from the raw data
>
# Inputs are found by digest, whatever they are called now and wherever they lie.
$ mkdir -p other/deep; cp small/unit.csv other/deep/x; cp small/mast.csv other/y; sh audit plain --data other | grep raw
>   from raw data   identical      N files of evidence are the same, N of the presentation
> identical, from the raw data on
# Where one is not there, what was asked for is not done.
$ rm other/y; sh audit plain --data other
> audit of plain
>
>   manifest        identical      N files, each with the digest that the manifest states
>   signature       none
>   decision        identical      N checks decided again
>   from raw data   not done       1 of 2 inputs were not found
>   from intervals  identical      N files of evidence are the same, N of the presentation
>   not computed    the statistics of the intervals from the raw data
>
> made by windassay 0.2.0, arithmetic 2; audited by windassay 0.2.0, arithmetic 2
>
> inputs
>   mast.csv not found
>
> not all computed again
[66]
# With its data in it, a dossier needs nothing else.
$ windassay run small/campaign.lua --into whole --with-data >/dev/null; sh audit whole | sed -n 3,7p
>   manifest        identical      N files, each with the digest that the manifest states
>   signature       none
>   decision        identical      N checks decided again
>   from raw data   identical      N files of evidence are the same, N of the presentation
>
# Data that changed since: which, and what it does to the numbers.
$ mkdir changed; cp small/mast.csv changed; sed '100s/,[0-9.]*,/,9.9,/' small/unit.csv >changed/unit.csv
. sh audit plain --data changed >said; echo $?; sed -n '3,6p; /^inputs/,/^$/p; /^differences/,+5p; /^cause/,$p' said
> 1
>   manifest        identical      N files, each with the digest that the manifest states
>   signature       none
>   decision        identical      N checks decided again
>   from raw data   differs        N files of evidence are the same, N of the presentation
> inputs
>   unit.csv changed
>
> differences
>   inputs 'unit.csv', bytes: 50680 in the dossier, 50678 computed again (relative 3.9e-05)
>   inputs 'unit.csv', sha256: 'dff4d86a8bf9ddae31d159810bfc414802d76b3b7eb81ccab47560b48808...' in the dossier, '419d12b6372d4ac9221591b2deae0454244d3ae504347f5b2a8af21188c8...' computed again
>   check 'clock', requirements 'clock_offset', value: 1.6707134205140433 in the dossier, 5.8941873312792135 computed again (relative 2.5)
>   check 'clock', requirements 'clock_offset', u: 5.4606265741576285 in the dossier, 5.980963867188746 computed again (relative 0.095)
>   check 'clock', values 'correlation at the best lag', value: 0.9998134076102977 in the dossier, 0.9997788564555227 computed again (relative 3.5e-05)
> cause
>   changed data                   unit.csv: sha256 419d12b6372d..., the record states dff4d86a8bf9...
>
> differs
# The same for a program.
$ windassay audit plain --data changed --json | python3 -c 'import json, sys; v = json.load(sys.stdin)
. print(v["outcome"], [(x["name"], x["outcome"]) for x in v["levels"]], v["causes"][0]["cause"])
. print(sorted(v), v["differences"][0])'
> differs [('manifest', 'identical'), ('decision', 'identical'), ('from raw data', 'differs')] changed data
> ['causes', 'differences', 'differences_all', 'dossier', 'files', 'inputs', 'level', 'levels', 'not_computed', 'outcome', 'scripts', 'signature', 'versions'] {'place': "inputs 'unit.csv', bytes", 'before': 50680, 'after': 50678, 'relative': 3.9463299131807416e-05, 'ulps': 274877906944}
# Nothing in it is written, whatever is found.
$ (cd plain && sha256sum -c --strict --quiet manifest-sha256.txt) && ls -A plain
> bag-info.txt
> bagit.txt
> data
> manifest-sha256.txt
> tagmanifest-sha256.txt
# What is no dossier, or none that this version can run, is refused.
$ windassay audit nowhere
! windassay: nowhere: cannot open the dossier: No such file or directory
[66]
$ mkdir empty; windassay audit empty
! windassay: manifest-sha256.txt: there is no such file
!   this is no dossier, or not a whole one
[65]
$ cp -r plain newer; sed -i 's/"interface": 1/"interface": 7/' newer/data/result.json; cd newer
. (cd data && find . -type f | sed 's/^..//' | LC_ALL=C sort | xargs -d '\n' sha256sum) | sed 's/  /  data\//' >manifest-sha256.txt
. sha256sum bag-info.txt bagit.txt manifest-sha256.txt >tagmanifest-sha256.txt; cd ..; windassay audit newer; code=$?; rm -r newer; exit $code
! windassay: data/result.json: its scripts were written for interface 7; this version knows 1
!   a version of windassay with interface 7 is needed
[65]
# A signature: there, and whether it holds.
$ ssh-keygen -q -t ed25519 -N "" -C "" -f key; ssh-keygen -q -t ed25519 -N "" -C "" -f other_key
. (echo "lab@example.org $(cat key.pub)") >allowed; (echo "lab@example.org $(cat other_key.pub)") >others
. ssh-keygen -q -Y sign -n windassay -f key plain/tagmanifest-sha256.txt; ls plain | grep sig
> tagmanifest-sha256.txt.sig
$ sh audit plain | sed -n 4p; sh audit plain --allowed-signers allowed | sed -n 4p
. sh audit plain --allowed-signers others >said; echo $?; grep signature said
>   signature       not verified   no allowed signers were given
>   signature       holds          made by lab@example.org
> 1
>   signature       does not hold  none of the allowed signers made it
>   damaged dossier                its signature does not hold
$ ssh-keygen -q -Y sign -n file -f key <plain/tagmanifest-sha256.txt >plain/tagmanifest-sha256.txt.sig; sh audit plain --allowed-signers allowed >said; echo $?; sed -n 4p said
> 1
>   signature       does not hold  made by lab@example.org: Couldn't verify signature: namespace does not match
$ rm plain/tagmanifest-sha256.txt.sig; sh audit plain --allowed-signers allowed >said; echo $?; sed -n 4p said; tail -1 said
> 66
>   signature       none
> not all computed again
$ cp key plain/tagmanifest-sha256.txt.sig; windassay audit plain --allowed-signers nobody
! windassay: nobody: cannot open the allowed signers: No such file or directory
[66]
# Where only the presentation differs, that is said. What is no folder is none.
$ cp -r plain shown; sed -i 's/<body/<body class=x/' shown/data/report.html; cd shown; bytes=$(find data -type f -printf '%s\n' | awk '{ n += $1 } END { print n "." NR }')
. sed -i "s/^Payload-Oxum: .*/Payload-Oxum: $bytes/" bag-info.txt; (cd data && find . -type f | sed 's/^..//' | LC_ALL=C sort | xargs -d '\n' sha256sum) | sed 's/  /  data\//' >manifest-sha256.txt
. sha256sum bag-info.txt bagit.txt manifest-sha256.txt >tagmanifest-sha256.txt; cd ..; sh audit shown >said; echo $?; sed -n '/^files/,$p' said
> 1
> files
>   report.html differs
>
> cause
>   damaged dossier                the evidence is what it should be, the presentation is not: it was changed, or another build of this version made it
>
> differs
$ windassay audit plain --data small/unit.csv
! windassay: small/unit.csv: it is not a folder
[66]
$ windassay audit small/unit.csv
! windassay: small/unit.csv: cannot open the dossier: Not a directory
[65]
