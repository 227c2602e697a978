"""The numbers of docs/references.md, by name. They are the program's own tables printed; `make lint` keeps the page and the tables alike,
so a table that is changed without its page makes this reference disagree."""
import re

PAGE = "docs/references.md"


def _number(text):
    parts = text.split("/")
    value = float(parts[0])
    return value / float(parts[1]) if len(parts) == 2 else value


def _section(lines, name):
    rows, inside = {}, False
    for line in lines:
        if line.startswith("## "):
            inside = line[3:].startswith(name)
        cells = [cell.strip().replace("\\", "") for cell in line.split("|")[1:-1]] if inside else []
        if len(cells) > 2 and cells[0] not in ("id", "---"):
            try:
                rows[cells[0]] = _number(cells[1])
            except ValueError:
                rows[cells[0]] = cells[1]
    return rows


with open(PAGE, encoding="utf-8") as page:
    _lines = page.read().split("\n")
C = _section(_lines, "Constants")
SPREAD = _section(_lines, "Standard deviations")
RATE = _section(_lines, "Gross causes")
FACTOR = _section(_lines, "What a look")
