"""sheet.py CASES.jsonl: the same cases as one sheet of comma-separated values, as spreadsheets write them."""
import csv
import json
import sys


def leaves(value, path=""):
    if isinstance(value, dict):
        for key, inside in value.items():
            if not key.startswith("//"):
                yield from leaves(inside, f"{path}.{key}" if path else key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for place, inside in enumerate(value, 1):
            yield from leaves(inside, f"{path}.{place}")
    elif isinstance(value, list):
        yield path, " ".join(value)
    elif value is not None:
        yield path, {True: "TRUE", False: "FALSE"}[value] if isinstance(value, bool) else value


rows = [dict(leaves(json.loads(line))) for line in open(sys.argv[1])]
heading = list(dict.fromkeys(path for row in rows for path in row))
out = csv.writer(sys.stdout)
out.writerow(heading)
out.writerows([[row.get(path, "") for path in heading] for row in rows])
