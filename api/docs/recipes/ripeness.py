"""Prints when half of each cultivar's fruit had reached each stage, and which plants carry fruit past ripe.

    python3 ripeness.py "Autumn 2026 (invented)"

Every number comes with its interval or its reason for not being there: print those too.
"""
import json
import os
import sys
import urllib.request

server = os.environ.get("VINETALLY", "http://127.0.0.1:8780")


def get(path):
    with urllib.request.urlopen(server + path) as answer:
        return json.load(answer)


def day(moment):
    return "?" if moment is None else moment[:10]


name = sys.argv[1]
seasons = {season["name"]: season["id"] for season in get("/v1/seasons?limit=500")["items"]}
if name not in seasons:
    sys.exit(f"There is no season {name!r}; there are {sorted(seasons)}.")

answer = get(f"/v1/seasons/{seasons[name]}/curves")
print(f"{'cultivar':<14}{'stage':<12}{'half by':<12}{'days':>7}   {100 * answer['level']:.0f} % interval")
for curve in answer["curves"]:
    if curve["scope"] != "cultivar":
        continue
    half = curve["t50"]
    line = f"{curve['cultivar']:<14}{curve['stage']:<12}"
    if half is None:
        print(line + "not given: " + " ".join(curve["warnings"]))
    else:
        print(f"{line}{half['at'][:10]:<12}{half['days']:>7.1f}   {day(half['at_low'])} to {day(half['at_high'])},"
              f" days from {curve['days_from_event']}")
for refused in answer["refused"]:
    if refused["scope"] == "cultivar":
        print(f"{refused['cultivar']:<14}{refused['stage']:<12}no curve: {refused['reason']}")

answer = get(f"/v1/seasons/{seasons[name]}/past-ripe")
print(f"\n{'plant':<8}{'ripe now':>9}{'past ripe, at least':>21}{'hold days':>11}")
for plant in answer["plants"]:
    ripe = plant["standing_ripe"]
    if ripe is None:
        ripe = f"{plant['standing_ripe_at_least']} or more"
    if plant["certain"]:
        print(f"{plant['plant']:<8}{ripe:>9}{plant['certain']:>21}{plant['hold_days']:>11g}")
print(f"At least {answer['season']['certain']} fruit on {answer['season']['plants_certain']} plants are past ripe.")
for warning in answer["warnings"]:
    print("Note:", warning)
