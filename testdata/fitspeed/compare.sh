#!/bin/sh
# 10,000 logistic fits here and with R's nls: the same points, the same start, processor time, coefficients compared digit by digit.
#   sh testdata/fitspeed/compare.sh
set -eu
cd "$(dirname "$0")/../.."
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
go test -c -o "$work/estimate.test" ./analytics/estimate
Rscript testdata/fitspeed/nls.R "$work/estimate.test" "$work/fits.csv"
