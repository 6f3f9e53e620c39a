#!/bin/sh
# Starts a trial of four plants.
#
#   sh start-trial.sh
#
# Every name and day is invented: put your own in their place first. The ids are made here, once, and kept in trial.json,
# so the script may be run again at any time: records that are stored already are left alone. It leaves plants.txt, a line
# for each plant with its label and its id, which record-visit.sh reads.
set -eu
server=${VINETALLY:-http://127.0.0.1:8780}
new_id() { cat /proc/sys/kernel/random/uuid; } # without a /proc: uuidgen | tr A-Z a-z

if [ ! -f trial.json ]; then
  season=$(new_id) place=$(new_id) cultivar=$(new_id)
  a1=$(new_id) a2=$(new_id) a3=$(new_id) a4=$(new_id)
  printf '%s\n' "A1 $a1" "A2 $a2" "A3 $a3" "A4 $a4" >plants.txt
  same="\"season_id\": \"$season\", \"place_id\": \"$place\", \"cultivar_id\": \"$cultivar\", \"sown_on\": \"2025-10-01\""
  cat >trial.json.new <<END
{"items": [
 {"kind": "seasons", "id": "$season", "base_version": 0, "record": {"name": "Window sill (invented)"}},
 {"kind": "places", "id": "$place", "base_version": 0, "record": {"name": "south window", "time_zone": "Europe/Lisbon"}},
 {"kind": "cultivars", "id": "$cultivar", "base_version": 0, "record": {"name": "Sillberry", "hold_days": 5}},
 {"kind": "plants", "id": "$a1", "base_version": 0, "record": {"label": "A1", $same}},
 {"kind": "plants", "id": "$a2", "base_version": 0, "record": {"label": "A2", $same}},
 {"kind": "plants", "id": "$a3", "base_version": 0, "record": {"label": "A3", $same}},
 {"kind": "plants", "id": "$a4", "base_version": 0, "record": {"label": "A4", $same}}
]}
END
  mv trial.json.new trial.json
fi

curl -sS --fail-with-body -H 'Content-Type: application/json' --data-binary @trial.json "$server/v1/sync"
echo
