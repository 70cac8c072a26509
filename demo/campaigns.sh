#!/bin/sh
# The campaigns of the demo, in the order in which they can be run; sourced by what runs them.
# NL-0421-wind is wind.lua of unit NL-0421; it and NL-0421-again use the dossier of NL-0421.
# shellcheck disable=SC2034 # used by the scripts that source this one
demo_campaigns="NL-0417 NL-0418 NL-0419 NL-0421 NL-0421-wind NL-0421-again NL-0422 NL-0423"

demo_file_of() { # campaign: its file below demo/
    case $1 in
    *-*-*) echo "${1%-*}/${1##*-}.lua" ;;
    *) echo "$1/campaign.lua" ;;
    esac
}

# What later campaigns of a unit use: where its dossier lies, and its digest. Nothing for the others.
demo_hand_on() { # folder of the campaigns, campaign that was run into FOLDER/out/CAMPAIGN
    [ "$2" = NL-0421 ] || return 0
    cat >"$1/$2/calibrated.lua" <<END
-- Written by demo/run.sh.
return { dossier = { dossier = "root:out/$2", as = "calibration",
                     sha256 = "$(sha256sum <"$1/out/$2/data/result.json" | cut -d' ' -f1)" },
         calibration = { source = "lidar", file = "root:out/$2/data/calibration.json",
                         sha256 = "$(sha256sum <"$1/out/$2/data/calibration.json" | cut -d' ' -f1)" } }
END
}
