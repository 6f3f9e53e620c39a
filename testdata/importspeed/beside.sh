#!/bin/sh
# Posts one record after the other to a server while another process imports counts into its database, and prints how many went well,
# how long the slowest took, and how many were refused. Usage: beside.sh [rows] [folder for the files]; wants curl, awk
# and Go, or VINETALLY=program.
set -eu
. "$(dirname "$0")/files.sh"
db=$dir/beside.db
rm -f "$db" "$db-wal" "$db-shm" "$dir/posts"
"$program" import --db "sqlite:$db" "$dir/plants.csv" >/dev/null
"$program" serve --db "sqlite:$db" --listen 127.0.0.1:0 >"$dir/address" 2>"$dir/log" &
server=$!
trap 'kill $server' EXIT
until base=$(grep -o 'http://[^/ ]*' "$dir/address"); do sleep 0.1; done
"$program" import --db "sqlite:$db" "$dir/counts.csv" >"$dir/out" 2>&1 &
import=$!
n=0
while kill -0 $import 2>/dev/null; do
    n=$((n + 1))
    curl -s -o /dev/null -w '%{http_code} %{time_total}\n' -H 'Content-Type: application/json' -d "{\"name\": \"season $n\"}" "$base/v1/seasons" >>"$dir/posts"
done
wait $import || { cat "$dir/out"; exit 1; }
awk -v rows="$rows" '$1 == 201 { n++ } $1 != 201 { refused++ } $2 > worst { worst = $2 } $2 > 0.1 { long++ }
    END { printf "%d rows: %d posts answered meanwhile, %d refused, the slowest took %.2f s, %d more than 0.1 s\n", rows, n, refused, worst, long }' "$dir/posts"
