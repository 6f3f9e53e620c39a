"""Corrects one number of a count, unless somebody else changed the count meanwhile.

    python3 correct_count.py COUNT_ID red 3

The id stands in the last column of what counts_to_csv.py writes. The number before stays in the count's history.
"""
import json
import os
import sys
import urllib.error
import urllib.request

server = os.environ.get("VINETALLY", "http://127.0.0.1:8780")
count_id, stage, fruit = sys.argv[1], sys.argv[2], int(sys.argv[3])
address = f"{server}/v1/counts/{count_id}"

try:
    with urllib.request.urlopen(address) as answer:
        count, version = json.load(answer), answer.headers["ETag"]
    before = count["counts"].get(stage)
    count["counts"][stage] = fruit
    edit = urllib.request.Request(address, method="PUT", data=json.dumps(count).encode(),
                                  headers={"Content-Type": "application/json", "If-Match": version})
    with urllib.request.urlopen(edit) as answer:
        stored = json.load(answer)
except urllib.error.HTTPError as refused:
    problem = json.load(refused)
    for fault in problem.get("errors", []):
        print(fault.get("pointer", ""), fault["detail"], file=sys.stderr)
    sys.exit(f"{problem['title']}: {problem['detail']}")  # 412: changed meanwhile; look at it and run this again

print(f"{stage}: {before} is now {stored['counts'][stage]}, version {stored['version']}")
for warning in stored.get("warnings", []):
    print("warning:", warning)
