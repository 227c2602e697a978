"""A host in another language: reads a case file, has it planned by the shared library, prints a little of the plan.

    python3 host.py hyperopic-surprise.json [site.json]

Text goes in and text comes out; no struct is shared. LIBIOLREVISE names the library where the system does not find it.
"""
import ctypes
import json
import os
import sys

library = ctypes.CDLL(os.environ.get("LIBIOLREVISE", "libiolrevise.so.0.1"))
library.iol_version.restype = ctypes.c_char_p
library.iol_plan_json.restype = ctypes.c_int64
library.iol_plan_json.argtypes = [ctypes.c_char_p] * 4 + [ctypes.c_size_t]


def plan(case_text, site_text=None, as_of=None):
    """The plan as a dictionary; ValueError with the faults when the case or the site is refused."""
    texts = [None if t is None else t.encode("utf-8") for t in (case_text, site_text, as_of)]
    if any(t is not None and b"\0" in t for t in texts):
        raise ValueError("a NUL within a text")
    size = 1 << 18
    while True:
        buffer = ctypes.create_string_buffer(size)
        length = library.iol_plan_json(*texts, buffer, size)
        if length == 0:
            raise MemoryError("the library is out of memory")
        if abs(length) < size:
            break
        size = abs(length) + 1
    answer = json.loads(buffer.value.decode("utf-8"))
    if length < 0:
        raise ValueError(answer["faults"])
    return answer


def read(name):
    with open(name, encoding="utf-8") as file:
        return file.read()


if __name__ == "__main__":
    try:
        made = plan(read(sys.argv[1]), read(sys.argv[2]) if len(sys.argv) > 2 else None)
    except ValueError as refused:
        for fault in refused.args[0]:
            print("{file}:{line}: {path}: {code}: found {found}, wanted {wanted} {unit}".format(**fault), file=sys.stderr)
        sys.exit(1)
    print("library", library.iol_version().decode())
    print("decision", made["decision"]["state"])
    print("standing", made["replacement"]["standing"])
    print("exact power", made["replacement"]["power_exact_d"])
    print("stop cautions", sum(c["severity"] == "stop" for c in made["cautions"]))
