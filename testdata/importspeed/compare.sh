#!/bin/sh
# Imports the same counts with vinetally and with sqlite3's own .import, one after the other, and prints rows a second and peak
# memory of each. Usage: compare.sh [rows] [folder for the files]; wants sqlite3, awk, GNU time and Go, or VINETALLY=program.
#
# sqlite3 direct: the rows already in the columns of the table (table.csv, see table.sql): it has no plant to find, no time to
#     read, no rule of the trade to check. This is the one to compare with.
# sqlite3 view:   the very counts.csv, through a view that finds the plants (view.sql).
# vinetally:      the very counts.csv and plants.csv.
#
# All three write ahead (WAL), bring the one transaction to the disk with synchronous=FULL and have the same page cache.
set -eu
. "$(dirname "$0")/files.sh"
cache=-49152

measure() { # name, database, command…
    name=$1 db=$2
    shift 2
    rm -f "$db" "$db-wal" "$db-shm"
    sync
    command time -f '%e %U %S %M' -o "$dir/time" "$@" >"$dir/out" 2>&1 || { cat "$dir/out"; exit 1; }
    read -r wall user system memory <"$dir/time"
    stored=$(sqlite3 "$db" 'SELECT count(*) FROM visits')
    [ "$stored" = "$rows" ] || { echo "$name stored $stored of $rows rows"; exit 1; }
    awk -v name="$name" -v rows="$rows" -v wall="$wall" -v user="$user" -v sys="$system" -v memory="$memory" 'BEGIN {
        printf "%-15s %8.1f s %10.0f rows/s %9.1f s of processor time %8.1f MB\n", name, wall, rows / wall, user + sys, memory / 1024 }'
}

cat >"$dir/direct.sql" <<SQL
.read $here/table.sql
PRAGMA cache_size = $cache;
CREATE TEMP TABLE ids (id);
.import --csv $dir/ids.txt ids
INSERT INTO plants SELECT 1, id FROM ids;
.import --csv $dir/table.csv visits
SQL
cat >"$dir/view.sql" <<SQL
.read $here/table.sql
.read $here/view.sql
PRAGMA cache_size = $cache;
CREATE TEMP TABLE ids (id);
.import --csv $dir/ids.txt ids
INSERT INTO plants SELECT 1, id FROM ids;
INSERT INTO labels SELECT 'P' || (rowid - 1), id FROM ids;
.import --csv --skip 1 $dir/counts.csv rows
SQL
echo "$rows counts of $(wc -l <"$dir/ids.txt") plants"
measure "sqlite3 direct" "$dir/direct.db" sqlite3 -bail "$dir/direct.db" ".read $dir/direct.sql"
measure "sqlite3 view" "$dir/view.db" sqlite3 -bail "$dir/view.db" ".read $dir/view.sql"
measure vinetally "$dir/trial.db" "$program" import --db "sqlite:$dir/trial.db" "$dir/plants.csv" "$dir/counts.csv"
