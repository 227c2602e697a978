"""Every field of a case, at its limits and just beyond, as `schema case` has them: what lies beyond is refused at its own path and line and no other, what lies at
them is not. Words, days, flags, lengths of texts and lists the same way. The limits themselves: tests/reference/values.tsv. Usage: limits_check.py PROGRAM"""
import json, os, subprocess, sys, tempfile

program = sys.argv[1]
ask = lambda kind: json.loads(subprocess.run([program, "schema", kind], capture_output=True, text=True, check=True).stdout)
HEAD = {"case_format": 1, "case_ref": "A-1", "eye": "left", "reason": "lens-tilt"}


def fields(schema):
    """(path, what may stand there) of every leaf; a list is shown by its first place."""
    def walk(s, path):
        for one in s.get("anyOf", []):
            if "$ref" in one:
                s = {**s, **one}
        if "$ref" in s:
            s = {**schema["$defs"][s["$ref"].split("/")[-1]], **{k: v for k, v in s.items() if k in ("minItems", "maxItems")}}
        if "properties" in s:
            for key, inside in s["properties"].items():
                if not key.startswith(("$", "//")):
                    yield from walk(inside, path + (key,))
        elif "items" in s:
            yield path, s
            yield from walk(s["items"], path + (0,))
        else:
            yield path, s
    yield from walk(schema, ())


def put(path, value):
    """A case with this value at this path."""
    inside = value
    for key in reversed(path[1:]):
        inside = [inside] if key == 0 else {key: inside}
    return {**HEAD, path[0]: inside}


def tries(path, s):
    """(value, whether it may stand there)"""
    kinds = s.get("type", [])
    kinds = kinds if isinstance(kinds, list) else [kinds]
    if "enum" in s:
        yield from ((w, True) for w in s["enum"] if w is not None)
        yield "no-such-word", False
        yield 1, False
        yield (s["enum"][0] or s["enum"][1]).upper(), False
    elif "number" in kinds or "integer" in kinds:
        low, high = s["minimum"], s["maximum"]
        step = 1 if "integer" in kinds else 0.0001
        for value, good in ((low, True), (high, True), (low - step, False), (high + step, False), ("x", False), (True, False)):
            yield value, good
        if "integer" in kinds:
            yield low + 0.5, False
    elif "boolean" in kinds:
        yield from ((True, True), (False, True), ("yes", False), (0, False))
    elif s.get("pattern", "").startswith("^(19|20"):
        yield from (("1901-01-01", True), ("2199-12-31", True), ("2024-02-29", True), ("2023-02-29", False), ("2025-02-30", False), ("2025-13-01", False),
                    ("2025-00-10", False), ("2025-04-31", False), ("1899-12-31", False), ("25-01-01", False), (20250101, False))
    elif "array" in kinds:
        pass
    elif "maxLength" in s and path[-1] not in ("case_ref", "pair_ref") and not path[-1].endswith("_snellen"):
        yield from (("a" * s["maxLength"], True), ("a" * (s["maxLength"] + 1), False), ("", False), (7, False), ("a\u0007", False), (" a", False))
    elif path[-1].endswith("_snellen"):
        yield from (("6/9", True), ("20/30", True), ("6/", False), ("/6", False), ("six", False), (0.5, False))
    elif path[-1] in ("case_ref", "pair_ref"):
        yield from (("a" * s["maxLength"], True), ("a" * (s["maxLength"] + 1), False), ("", False), ("A-1._b", True), ("-a", False), ("a b", False))


rows = [(path, value, good) for path, s in fields(ask("case")) for value, good in tries(path, s)]
text = "".join(json.dumps(put(path, value)) + "\n" for path, value, _ in rows)
out = subprocess.run([program, "check", "-"], input=text, capture_output=True, text=True)
told = {}
for line in out.stderr.splitlines():
    part = line.split(": ")
    if part[0] == "iolrevise" and part[1].startswith("-:"):
        told.setdefault(int(part[1][2:]), []).append((part[2], part[3]))
faults = []
WRONG = {"out-of-range", "wrong-type", "not-a-word", "bad-date", "bad-pattern", "unit-slip", "unsupported-format", "too-long"}
OF = {int: {"out-of-range", "unit-slip", "wrong-type", "unsupported-format"}, float: {"out-of-range", "unit-slip", "wrong-type", "unsupported-format"}, bool: {"wrong-type"},
      str: {"wrong-type", "not-a-word", "bad-date", "bad-pattern", "too-long"}}
for number, (path, value, good) in enumerate(rows, 1):
    where = "/" + "/".join(map(str, path))
    own = [code for at, code in told.get(number, []) if at == where and code not in ("unusual", "axis-zero")]
    others = [(at, code) for at, code in told.get(number, []) if at != where and not good and code != "unusual"]
    if good and set(own) & WRONG or not good and not own or others:
        faults.append(f"{where}: {value!r} {'is refused' if good else 'is taken'}: {told.get(number)}")
    elif not good and not set(own) <= OF[type(value)]:
        faults.append(f"{where}: {value!r} is refused as {own}")

# A site: one file a value.
with tempfile.TemporaryDirectory() as work:
    name = os.path.join(work, "site.json")
    for path, s in fields(ask("site")):
        for value, good in tries(path, s) if 0 not in path and path[0] != "site_format" else ():
            inside = value
            for key in reversed(path):
                inside = {key: inside}
            with open(name, "w") as file:
                json.dump({"site_format": 1, **inside}, file)
            done = subprocess.run([program, "check", name], capture_output=True, text=True)
            own = [line.split(": ")[3] for line in done.stderr.splitlines() if ": /" + "/".join(path) + ": " in line]
            if good and set(own) & WRONG or not good and (done.returncode != 1 or not set(own) & WRONG):
                faults.append(f"site, {path}: {value!r} {'is refused' if good else 'is taken'}: {done.stderr}")
            rows.append((("site", *path), value, good))

print("\n".join(faults[:20]))
if faults or len(rows) < 800:
    sys.exit(f"FAILED limits: {len(faults)} of {len(rows)}")
print(f"passed limits: {len(rows)} values of {len({p for p, _, _ in rows})} fields")
