"""Fetches every count of a season, page by page, and writes a CSV file.

    python3 counts_to_csv.py "Autumn 2026 (invented)" counts-of-autumn.csv

A stage that was not counted is an empty cell. Needs nothing but Python.
"""
import csv
import json
import os
import sys
import urllib.parse
import urllib.request

server = os.environ.get("VINETALLY", "http://127.0.0.1:8780")
FOUR_STAGES = "00000000-0000-8000-8000-000000000004"  # the scale of a cultivar that names none


def get_all(path, **filters):
    """Yields the records of a list. next is the cursor of the following page, null on the last."""
    cursor = None
    while True:
        query = {**filters, "limit": 200}
        if cursor:
            query["cursor"] = cursor
        with urllib.request.urlopen(f"{server}{path}?{urllib.parse.urlencode(query)}") as answer:
            page = json.load(answer)
        yield from page["items"]
        cursor = page["next"]
        if cursor is None:
            return


name, file = sys.argv[1], sys.argv[2]
seasons = {season["name"]: season["id"] for season in get_all("/v1/seasons")}
if name not in seasons:
    sys.exit(f"There is no season {name!r}; there are {sorted(seasons)}.")
season = seasons[name]
plants = {plant["id"]: plant for plant in get_all("/v1/plants", season_id=season)}
counts = list(get_all("/v1/counts", season_id=season))

# The columns are the stages of the scales in use, from unripe to ripe.
scale_of = {cultivar["id"]: cultivar["scale_id"] or FOUR_STAGES for cultivar in get_all("/v1/cultivars")}
used = {scale_of[plant["cultivar_id"]] for plant in plants.values()}
stages = list(dict.fromkeys(stage["name"] for scale in get_all("/v1/scales") if scale["id"] in used for stage in scale["stages"]))

with open(file, "w", newline="", encoding="utf-8") as out:
    rows = csv.writer(out)
    rows.writerow(["plant", "counted_at", *stages, "total", "at_least", "id"])
    for count in counts:
        fruit = [count["counts"].get(stage, "") for stage in stages]
        total = "" if count["total"] is None else count["total"]
        rows.writerow([plants[count["plant_id"]]["label"], count["counted_at"], *fruit, total, "yes" if count["at_least"] else "", count["id"]])
print(f"{len(counts)} counts of {len(plants)} plants are in {file}")
