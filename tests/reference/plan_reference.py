#!/usr/bin/env python3
"""The numbers of a plan computed a second time, from docs/method.md, docs/case-format.md and docs/references.md alone, by one who had
not read the C, and compared with `iolrevise plan --format json`: each number rounds to the digits that are printed.

    plan_reference.py PROGRAM CASES.jsonl SITE.json LEAST

Exit 1 when a number differs, or when fewer than LEAST were compared. What it found: docs/reliability.md."""
import collections
import concurrent.futures
import json
import os
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "plan"))
from eye import Eye, Site  # noqa: E402
from surprise import Surprise  # noqa: E402

FOUR = ("share", "z", "estimate", "needed_alone", "estimate_read", "needed_alone_read")


def decimals(path):
    name = path.rsplit("/", 1)[-1]
    return 1 if name.endswith("_deg") else 4 if name in FOUR or name.endswith("_probability") else 3


def at(node, path):
    for key in path.split("/"):
        node = node[int(key)] if isinstance(node, list) else None if node is None else node[key]
    return node


def same(mine, found, unit):
    if mine is None or found is None:
        return mine is found
    if isinstance(mine, str) or isinstance(found, str):
        return mine == found
    return abs(mine - found) <= 0.5 * unit + 2e-6 * unit + 1e-9


def compare(mine, printed, part, report):
    for path, value in mine.items():
        try:
            found = at(printed, path)
        except (IndexError, KeyError):
            found = "absent"
        report(part + "/" + path, value, found, same(value, found, 10.0 ** -decimals(path)))


def numbers(case, site, plan, report):
    """Every part that is printed and computed here."""
    eye = Eye(case, site)
    if plan["altered_cornea"]:
        compare(eye.laser, plan["altered_cornea"], "altered_cornea", report)
    if plan["surprise"] and not case.get("second_lens") and plan["secondary"] is None and not eye.absent:
        mine = Surprise(eye).numbers()
        if not plan["replacement"] or plan["replacement"]["standing"] == "withheld":  # a withheld power is printed nowhere
            mine = {path: value for path, value in mine.items() if not path.startswith("causes/3/") or path.endswith("share")}
        compare(mine, plan["surprise"], "surprise", report)


def planned(program, site_path, line):
    run = subprocess.run([program, "plan", "-", "--site", site_path, "--format", "json"], input=line.encode(), stdout=subprocess.PIPE, check=True)
    return json.loads(run.stdout)


def main(program, cases, site_path, least):
    with open(site_path, encoding="utf-8") as f:
        site = Site(json.load(f))
    with open(cases, encoding="utf-8") as f:
        lines = f.read().splitlines()
    compared, differ = collections.Counter(), collections.defaultdict(list)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for number, plan in enumerate(pool.map(lambda line: planned(program, site_path, line), lines), 1):
            def report(path, mine, found, fine, number=number):
                name = "/".join("#" if key.isdigit() else key for key in path.split("/"))
                compared[name] += 1
                if not fine:
                    differ[name].append((number, mine, found))
            numbers(json.loads(lines[number - 1]), site, plan, report)
    for name in sorted(compared):
        print(f"{compared[name]:8d} {len(differ[name]):6d}  {name}", "".join(f"; case {n}: {mine!r}, printed {found!r}" for n, mine, found in differ[name][:3]))
    total, wrong = sum(compared.values()), sum(map(len, differ.values()))
    print(f"{len(lines)} cases, {total} numbers compared, {wrong} differ")
    return int(wrong > 0 or total < int(least))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:5]))
