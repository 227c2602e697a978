#!/usr/bin/env python3
"""What the tables of data/ must keep: every row is used, every case field read, every caution tested, no clinical number inside a
condition. Prints each breach; run by tests/runs/lint.sh."""
import glob
import os
import re

# Kept although nothing reads it: a spread and a field that stand in the file formats.
UNREAD = {'refraction_theatre_d'}
# Cautions that wait for their tests.
UNTESTED = set()
# Numbers that are arithmetic, not clinical: nothing, one, the middle, a full turn and its parts, percent.
PLAIN = {'0', '1', '2', '0.0', '1.0', '2.0', '0.5', '90.0', '180.0', '360.0', '100.0'}
# Tables with conditions in C.
CONDITIONS = ('acts', 'counselling', 'decision_rules', 'facts', 'headlines', 'missing_tests', 'needs', 'option_rules', 'questions', 'remarks',
              'removal_rules', 'risk_factors', 'rungs', 'standing_rules', 'theatre_items')


def read(path):
    with open(path, errors='replace') as file:
        return file.read()


def rows(name, macro):
    return re.findall(r'^%s\((\w+)' % macro, read('data/%s.def' % name), re.M)


def words(paths):
    found = set()
    for path in paths:
        if os.path.isfile(path):
            found.update(re.findall(r'\w+', read(path)))
    return found


def used(key, names, prefixes):
    return any(p + key in names for p in prefixes)


tables = glob.glob('data/*.def')
sources = glob.glob('src/*/*.[ch]') + glob.glob('include/*/*.h')
tests = glob.glob('tests/unit/*') + glob.glob('tests/rows/*') + glob.glob('tests/reference/**/*', recursive=True)
tests = [t for t in tests if os.path.basename(t) not in ('drift.tsv', 'values.tsv')]

named = words(sources + [t for t in tables if t not in ('data/evidence.def', 'data/references.def')])
for key in rows('evidence', 'EVIDENCE'):
    if not used(key, named, ('', 'IOL_EVIDENCE_', 'IOL_EVIDENCE_REF_')):
        print('data/evidence.def: %s is quoted by nothing' % key)
named = words(sources + tests + [t for t in tables if t != 'data/references.def'])
for key in rows('references', 'REFERENCE'):
    if not used(key, named, ('', 'IOL_REF_')):
        print('data/references.def: %s is cited by nothing' % key)

# ---- constants; fields of the case: a use is a name behind a dot or an arrow, or the path of a rule ----
code = '\n'.join(read(s) for s in sources if not s.startswith(('src/case/read', 'src/intake/'))) # to bring a value in is no use of it
code += '\n'.join(read(t) for t in tables if os.path.basename(t) not in ('case_fields.def', 'key_aliases.def', 'dicom_map.def'))
waiting = set(UNREAD)


def asked(table, key, is_read):
    if is_read and key in UNREAD:
        print('data/%s.def: %s is read: take it out of UNREAD' % (table, key))
    if not is_read and key not in UNREAD:
        print('data/%s.def: %s is read by nothing' % (table, key))
    waiting.discard(key)


code_words = set(re.findall(r'\w+', code + '\n'.join(map(read, sources)))) # a constant is used wherever it stands
for table, macro, prefix in (('constants', 'CONSTANT', 'c_'), ('spreads', 'SPREAD', 'sd_')):
    for key in rows(table, macro):
        asked(table, key, prefix + key in code_words)
members = set(re.findall(r'(?:\.|->)(\w+)', code)) | set(re.findall(r'\w+', '\n'.join(read(t) for t in tables
              if os.path.basename(t) in ('facts.def', 'questions.def', 'templates.def'))))
for key in re.findall(r'^\s+(?:NUM|WORD|FLAG|DATE|TEXT|WORDS|NUMS|LIST)\s*\(\w+, (\w+)', read('data/case_fields.def'), re.M):
    asked('case_fields', key, key in members)
for key in sorted(waiting):
    print('tests/runs/lint_tables.py: UNREAD holds %s, which no table has' % key)

# ---- every caution is named by a test ----
tested = words(tests)
text = '\n'.join(read(t) for t in tests if os.path.isfile(t))
for key, told in re.findall(r'^CAUTION\((\w+),\s*"([^"]+)"', read('data/cautions.def'), re.M):
    named = used(key, tested, ('IOL_NOTE_',)) or '"%s"' % told in text
    if not named and key not in UNTESTED:
        print('data/cautions.def: no test names %s (%s)' % (key, told))
    if named and key in UNTESTED:
        print('data/cautions.def: %s is tested: take it out of UNTESTED' % key)

# ---- no clinical number inside a condition ----
for path in tables:
    if os.path.basename(path)[:-4] not in CONDITIONS:
        continue
    plain = re.sub(r'/\*.*?\*/', lambda m: re.sub(r'[^\n]', ' ', m[0]), read(path), flags=re.S)
    plain = re.sub(r'"(?:\\.|[^"\\])*"', '""', plain)
    for n, line in enumerate(plain.split('\n'), 1):
        for inside in re.findall(r'iol_(?:above|below|at_least|at_most|within|between)\w*\((?:[^()]|\([^()]*\))*\)|[<>]=? *-?[\d.]+', line):
            for number in re.findall(r'(?<![\w.%+])\d+(?:\.\d+)?\b', inside):
                if number not in PLAIN:
                    print('%s:%d: a number inside a condition: %s' % (path, n, number))
