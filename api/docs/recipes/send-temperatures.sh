#!/bin/sh
# Sends a logger's air temperatures.
#
#   sh send-temperatures.sh logger.csv "south window" +01:00
#
# The arguments are the file, the name of the place, and how far the logger's clock is ahead of UTC (loggers seldom change
# to summer time). This reads files like the following; change the line of awk that says $1 and $2 for another kind.
#
#   Time;Temperature
#   03.02.2026 08:00;18,5
#
# The file may be sent again when it has grown: a reading that is stored already changes nothing.
set -eu
server=${VINETALLY:-http://127.0.0.1:8780}

awk -F ';' -v place="$2" -v offset="$3" '
  BEGIN { gsub(/"/, "\"\"", place); print "place,measured_at,air_c" }
  { sub(/\r$/, "") }
  NR > 1 && $2 != "" {
    split($1, t, /[. ]/) # day, month, year, time
    sub(/,/, ".", $2)
    printf "\"%s\",%s-%s-%sT%s:00%s,%s\n", place, t[3], t[2], t[1], t[4], offset, $2
  }' "$1" |
  curl -sS --fail-with-body -H 'Content-Type: text/csv' --data-binary @- "$server/v1/temperatures/bulk"
echo
