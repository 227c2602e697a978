"""The whole text of a plan, read back: its sections, tables and pairs of label and text."""
import re


def sections(text):
    """Heading -> its lines, in their order."""
    found, lines = {}, text.split("\n")
    for line, below in zip(lines, lines[1:] + [""]):
        if re.fullmatch("-+|=+", below) and len(below) == len(line) and line.strip():
            name = line
            found[name] = []
        elif found and not re.fullmatch("-+|=+", line):
            found[name].append(line)
    return found


def tables(lines):
    """First line of the heads -> columns, each the text of all its rows."""
    found = {}
    for i, line in enumerate(lines):
        if not re.fullmatch(r"-+(  -+)+", line):
            continue
        spans = [m.span() for m in re.finditer("-+", line)]
        spans = [(a, b + 2) for a, b in spans[:-1]] + [(spans[-1][0], 200)]
        rows = []
        for row in lines[i + 1:]:
            if not row.strip():
                break
            rows.append(row)
        heads = [lines[i - 1][a:b].strip() for a, b in spans]
        found.setdefault(heads[0], []).append((heads, [" ".join(row[a:b].strip() for row in rows) for a, b in spans]))
    return found


def pairs(lines):
    """Label -> its text, continued lines joined."""
    found, label = {}, None
    for line in lines:
        m = re.match(r"([A-Za-z](?:[^ ]| (?! ))*)  +(\S.*)$", line)
        if m:
            label = m[1]
            found.setdefault(label, m[2])
        elif label and line.startswith("  ") and line.strip():
            found[label] += " " + line.strip()
        else:
            label = None
    return found
