#!/bin/sh
# Records a visit: asks how many fruit stand on each plant of plants.txt, then sends what hasn't been sent yet.
#
#   sh record-visit.sh         count now, and send
#   sh record-visit.sh send    only send, after a visit without reception
#
# Answer with four numbers: green, breaker, turning, red. Write - for a stage that you did not count, which is not 0, and
# press Enter alone to pass over a plant. Every count gets its id before it is sent, so sending it twice stores it once.
set -eu
server=${VINETALLY:-http://127.0.0.1:8780}
who=${USER:-phone}
new_id() { cat /proc/sys/kernel/random/uuid; } # without a /proc: uuidgen | tr A-Z a-z

# understood makes the JSON of one plant's counts from its numbers, and fails on a word that is no number.
understood() {
  counts=
  for stage in green breaker turning red; do
    case $1 in
      - | '') ;;
      *[!0-9]* | 0?*) return 1 ;;
      *) counts="$counts${counts:+, }\"$stage\": $1" ;;
    esac
    shift
  done
}

if [ "${1:-count}" != send ]; then
  now=$(date -u +%Y-%m-%dT%H:%M:%SZ)
  items=
  while read -r label id <&3; do
    while :; do
      printf '%s: green breaker turning red? ' "$label" >&2
      green= breaker= turning= red= more=
      read -r green breaker turning red more || true
      if [ -n "$green" ] && [ -z "$red" ]; then more=lacking; fi
      if [ -z "$more" ] && understood "$green" "$breaker" "$turning" "$red"; then break; fi
      echo "four whole numbers or -, please" >&2
    done
    [ -n "$counts" ] || continue
    record="{\"plant_id\": \"$id\", \"counted_at\": \"$now\", \"counts\": {$counts}}"
    items="$items${items:+,
 }{\"kind\": \"counts\", \"id\": \"$(new_id)\", \"base_version\": 0, \"record\": $record}"
  done 3<plants.txt
  if [ -n "$items" ]; then
    visit=visit-$(echo "$now" | tr : -).json
    printf '{"items": [\n %s\n]}\n' "$items" >"$visit.new"
    mv "$visit.new" "$visit"
  fi
fi

failed=0
for visit in visit-*.json; do
  [ -f "$visit" ] || continue
  if curl -sS --connect-timeout 15 --fail-with-body -H 'Content-Type: application/json' -H "X-Recorded-By: $who" \
    --data-binary "@$visit" "$server/v1/sync"; then
    mv "$visit" "sent-$visit"
    printf '\n%s is stored\n' "$visit"
  else
    printf '\n%s is kept: send it again with "sh record-visit.sh send", or mend it if the answer says what is wrong\n' "$visit" >&2
    failed=1
  fi
done
exit $failed
