#!/usr/bin/python3
"""Writes the expected bins and fits of R (STEM_expected_R.json) as STEM_bins_R.csv and STEM_fits_R.csv, for Lua scripts."""
import csv, json, os, sys

BINS = ['centre', 'count', 'mean_ref', 'mean_meas', 'mean_dev', 'sd_dev', 'se_dev', 'min_dev', 'max_dev', 'rel_mean_dev']


def text(v):
    return '' if v in (None, 'inf', 'NaN') else repr(v)


os.chdir(os.path.dirname(os.path.abspath(sys.argv[0])))
for stem in ('irish_SHA_vs_BIR', 'sao_neighbour_pairs'):
    expected = json.load(open(stem + '_expected_R.json'))
    with open(stem + '_bins_R.csv', 'w', newline='') as f:
        out = csv.writer(f, lineterminator='\n')
        out.writerow(BINS)
        out.writerows([text(b.get(k)) for k in BINS] for b in expected['bins'])
    with open(stem + '_fits_R.csv', 'w', newline='') as f:
        out = csv.writer(f, lineterminator='\n')
        out.writerow(['of', 'fit', 'quantity', 'value'])
        for of in ('all_rows', 'bin_means'):
            for fit in ('origin', 'free'):
                out.writerows((of, fit, k, text(v)) for k, v in expected[of][fit].items())
