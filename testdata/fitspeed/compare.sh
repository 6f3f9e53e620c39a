#!/bin/sh
# 10,000 logistic fits here and with R's nls: the same points, the same start, coefficients compared digit by digit.
#   sh testdata/fitspeed/compare.sh
set -eu
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
VINETALLY_FITS_OUT="$work/fits.csv" go test ./analytics/estimate -run xxx -bench 'TenThousandFits' -benchtime 5x | tee "$work/bench.txt" | grep Benchmark
seconds=$(awk '/FromOneStart/ {print $3 / 1e9}' "$work/bench.txt")
Rscript testdata/fitspeed/nls.R "$work/fits.csv" "$seconds"
