# A run that is killed, at whatever moment, leaves a whole dossier or none; the next run sweeps away
# what was being written.
$ for t in 0.02 0.05 0.08 0.10 0.12 0.14 0.16 0.18 0.20 0.22 0.24 0.26 0.28 0.30 0.35 0.40 0.50 0.60 0.70 0.80 0.90 1.00; do
.   windassay run small/campaign.lua --into out >/dev/null 2>&1 & sleep $t; kill -9 $! 2>/dev/null; wait $! 2>/dev/null
.   if [ -e out ]; then (cd out && sha256sum -c --strict --quiet manifest-sha256.txt) || echo "after $t s: not whole"; rm -rf out; fi
. done
$ windassay run small/campaign.lua --into out >/dev/null; ls -A
> broken
> out
> small
