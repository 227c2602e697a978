#!/usr/bin/env python3
"""make mutants: do the tests notice an error? One small error at a time is put into a copy of the project.

Errors: another operator, another constant (the last printed digit, the next word of a list), a statement or a row left out; in
src/optics, src/formulas, src/eye, src/estimate, src/plan and data/*.def. What an error touches is compiled anew, the tests
(tests/unit/test_*.c) and then the golden runs look at it, until one of them fails. Errors that do not compile are not counted; those
whose objects are the same bytes as before, also optimised, are counted apart as equivalent. The comparison of generated pages
is left out: it would notice every digit of every table.

MUTANTS=600 SEED=1 draws so many, spread over the folders and kinds; MUTANTS=all takes all. MINUTES=20 ends early. JOBS=2.
ONLY=text in the file name. DATA=1: only numbers of data/*.def, and at least 85 % must be noticed by a check or by the double entry
(told apart; in the table of runs the double entry counts with the pinned values), drift and golden runs not counted. Prints every error that nobody noticed (TELL=1: who noticed the others); fails when fewer than 90 %
are noticed, or when one that nobody noticed is not in tests/heavy/mutants-accepted.tsv. RECORD=1 adds the figures to docs/runs/mutants.tsv."""
import collections
import copy
import datetime
import glob
import os
import queue
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import threading
import time

FOLDERS = ['src/optics', 'src/formulas', 'src/eye', 'src/estimate', 'src/plan']
ROW_TABLES = ['option_rules', 'decision_rules', 'decision_advice', 'risk_factors', 'rungs', 'theatre_items', 'removal_rules', 'remarks',
              'suspects', 'missing_tests', 'needs', 'counselling']
CC = os.environ.get('CC', 'gcc')
FLAGS = ('-std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -DIOLREVISE_BUILDING -Iinclude -Iinclude/iolrevise -Idata -Isrc -Itests -Itests/unit -O1 -fPIC -w').split()
LIBS = '-lcmocka -lgsl -lgslcblas -lcjson -lm -lpthread'.split()
# What the Makefile links to a test beside the library.
DRAWN = ['tests/tools/%s.c' % s for s in ('random_case', 'case_text', 'case_twins', 'blanking')]
BESIDE = {'test_arena': ['src/cli/arena.c'], 'test_power': ['src/cli/power_text.c', 'src/cli/power_screen.c'],
          'test_blanking': ['tests/tools/blanking.c'], 'test_random': DRAWN, 'test_facts': DRAWN,
          'test_printed': DRAWN, 'test_then': DRAWN}
WITHOUT = {'test_cost'}  # counts calls inside the static library
DRIFT = 'test_drift'  # pinned values: asked last
VALUES = 'test_values'  # every number a second time: asked before them
DOUBLE = 'double entry'  # noticed by a row of VALUES that was not entered again from its source
SECONDS = 10  # of processor time for one test; a slower one has noticed

OPERATORS = {
    '+': ['-'], '-': ['+'], '*': ['/'], '/': ['*'], '<': ['<=', '>='], '>': ['>=', '<='], '<=': ['<', '>'], '>=': ['>', '<'],
    '==': ['!='], '!=': ['=='], '&&': ['||'], '||': ['&&'], '+=': ['-='], '-=': ['+='], '*=': ['/='], '/=': ['*='],
    '!': [''], 'iol_and': ['iol_or'], 'iol_or': ['iol_and'], 'iol_above': ['iol_at_least', 'iol_below'],
    'iol_below': ['iol_at_most', 'iol_above'], 'iol_at_least': ['iol_above', 'iol_at_most'],
    'iol_at_most': ['iol_below', 'iol_at_least'], 'iol_not': [''], 'fmin': ['fmax'], 'fmax': ['fmin'], 'sin': ['cos'],
    'cos': ['sin'], 'fabs': [''], 'iol_matrix_add': ['iol_matrix_subtract'], 'iol_matrix_subtract': ['iol_matrix_add'],
}
BINARY = ('+', '-', '*', '/')
SWAPS = {'true': ['false'], 'false': ['true'], 'IOL_YES': ['IOL_NO'], 'IOL_NO': ['IOL_YES'], 'IOL_UNKNOWN': ['IOL_YES', 'IOL_NO'],
         'NAN': ['0.0']}
TOKEN = re.compile(r'''(?P<skip>/\*.*?\*/|//[^\n]*|^[ ]*\#(?:[^\n]*\\\n)*[^\n]*|"(?:\\.|[^"\\])*"|'(?:\\.|[^'\\])*'|\s+)
    |(?P<number>(?:\d+\.\d*|\.\d+|\d+)(?:[eE][+-]?\d+)?[uUlLfF]*)|(?P<word>\w+)
    |(?P<sign>->|\+\+|--|<<|>>|<=|>=|==|!=|&&|\|\||\+=|-=|\*=|/=|\|=|&=|.)''', re.X | re.S | re.M)

def write(path, text):
    with open(path, 'w') as file:
        file.write(text)


# told: file, line and change, by which an accepted one is known again
Mutant = collections.namedtuple('Mutant', 'file kind at end new line old told')


def word_lists():
    """The next word of the list that a word of the case file or of the plan belongs to."""
    lists, after = collections.defaultdict(list), {}
    for match in re.finditer(r'\bW\((\w+), (\w+)', open('data/words.def').read()):
        lists[match[1]].append('IOL_%s_%s' % match.groups())
    for names in lists.values():
        after.update(zip(names, names[1:] + names[:1]))
    return after


def last_digit(text, rng):
    """0.35 -> 0.34 or 0.36: the last printed digit, one up or down, never below nothing."""
    digits = re.match(r'[\d.]+', text)[0]
    places = len(digits.split('.')[1]) if '.' in digits else 0
    step = rng.choice([-1, 1]) if float(digits) > 0 else 1
    if '.' not in digits and int(digits) < 3:
        step = 1
    return '%.*f%s' % (places, float(digits) + step * 10 ** -places, text[len(digits):])


def statements(tokens):
    """Spans of statements that can be left out: calls, assignments, break, continue, return without a value."""
    spans, start, depth, blocks, prev = [], 0, 0, [], None
    for i, (kind, text, at, _) in enumerate(tokens):
        if text in '([':
            depth += 1
        elif text in ')]':
            depth -= 1
        if text == '{':
            block = prev is not None and (prev[1] in (')', 'else', ';', '{', '}', 'do')) and prev[3] != at
            blocks.append((block, depth))
            if block:
                start, depth = i + 1, 0
        elif text == '}' and blocks:
            block, depth_before = blocks.pop()
            if block:
                start, depth = i + 1, depth_before
        elif depth == 0 and all(b for b, _ in blocks) and blocks:
            if text == ';':
                body = tokens[start:i]
                if body and deletable([t[1] for t in body]):
                    spans.append((body[0][2], at))
                start = i + 1
            elif text == ':' and tokens[start][1] in ('case', 'default') or text == 'else':
                start = i + 1
            elif text == ')' and tokens[start][1] in ('if', 'for', 'while', 'switch'):
                start = i + 1
        prev = (kind, text, at, tokens[i][3])
    return spans


def deletable(words):
    if words[0] in ('break', 'continue') or words == ['return']:
        return True
    if words[0] in ('return', 'if', 'for', 'while', 'switch', 'case', 'default', 'goto', 'do', '(', 'typedef', 'const', 'static'):
        return False
    named = re.compile(r'\w+$')
    if len(words) > 1 and named.match(words[0]) and (named.match(words[1]) or (words[1] == '*' and words[2:3] and named.match(words[2]))):
        return False  # a declaration
    return '=' in words or any(w in words for w in ('+=', '-=', '*=', '/=', '|=', '&=', '++', '--')) or words[-1] == ')'


def mutants_of(path, rng, words):
    text = open(path).read()
    table = path.endswith('.def')
    tokens = [(m.lastgroup, m[0], m.start(), m.end()) for m in TOKEN.finditer(text) if m.lastgroup != 'skip']
    line_of = lambda at: text.count('\n', 0, at) + 1
    found = []

    def add(kind, at, end, new):
        line = text[text.rfind('\n', 0, at) + 1:(text + '\n').find('\n', at)]
        told = path, ' '.join(line.split()), '%s -> %s' % (' '.join(text[at:end].split()), ' '.join(new.split()) or '(left out)')
        found.append(Mutant(path, kind, at, end, new, line_of(at), text[at:end], told))

    for i, (kind, token, at, end) in enumerate(tokens):
        before, after = tokens[i - 1] if i else None, tokens[i + 1] if i + 1 < len(tokens) else None
        if kind == 'number':
            if table or '.' in token or not re.search(r'\w+ \**\w+\[$', text[text.rfind('\n', 0, at) + 1:at]):
                add('constant', at, end, last_digit(token, rng))
            continue
        for new in OPERATORS.get(token, []):
            if token in BINARY and not (text[at - 1] in ' \n' and text[end:end + 1] in (' ', '\n')):
                if token == '-' and before and before[1] in ('(', ',', '=', 'return', '?', ':', '{', '*') and after[0] != 'number':
                    add('operator', at, end, '')
                break
            if token.isidentifier() and (not after or after[1] != '('):
                break
            add('operator', at, end, new)
        for new in SWAPS.get(token, []):
            if token == 'NAN' and before[1] not in ('=', 'return', '?', ':'):
                continue  # an argument or a column without a number: nothing prints it
            add('constant', at, end, new)
        if token in words:
            add('constant', at, end, words[token])
    if not table:
        for at, end in statements(tokens):
            add('left out', at, end, '')
    elif os.path.basename(path)[:-4] in ROW_TABLES:
        for match in re.finditer(r'^[A-Z_]+\(', text, re.M):
            depth, end = 0, match.end() - 1
            for kind, token, at, stop in tokens:
                if at >= end and token in '()':
                    depth += 1 if token == '(' else -1
                    if depth == 0:
                        end = stop
                        break
            add('left out', match.start(), end, '')
    return found


def draw(population, wanted, rng):
    """So many of the mutants, spread over file folder and kind as they stand in the population."""
    strata = collections.defaultdict(list)
    for m in population:
        strata[(part_of(m), m.kind)].append(m)
    drawn = []
    for key in sorted(strata):
        share = max(1, round(wanted * len(strata[key]) / len(population)))
        drawn += rng.sample(strata[key], min(share, len(strata[key])))
    rng.shuffle(drawn)
    return drawn


def part_of(m):
    return os.path.dirname(m.file)


class Tree:
    """A copy of the project with its objects, for one worker."""

    def __init__(self, root):
        self.root, self.text, self.needs, self.pulls, self.altered = root, {}, {}, {}, False
        for folder in ('src', 'include', 'data', 'tests', 'examples', 'docs'):
            shutil.copytree(folder, os.path.join(root, folder))
        cjson = subprocess.run(['pkg-config', '--cflags', 'libcjson'], capture_output=True, text=True).stdout.split()
        self.flags = FLAGS + (cjson or ['-I/usr/include/cjson'])
        self.tests = sorted(os.path.basename(t)[:-2] for t in glob.glob('tests/unit/test_*.c'))
        self.tests = [t for t in self.tests if t not in WITHOUT]
        self.sources = sorted(glob.glob('src/*/*.c')) + ['tests/unit/%s.c' % t for t in self.tests]
        self.sources += sorted({s for some in BESIDE.values() for s in some if s.startswith('tests/')})

    def copy(self, root):
        shutil.copytree(self.root, root)
        twin = copy.copy(self)
        twin.root = root
        return twin

    def run(self, args, seconds=120):
        def limits():
            resource.setrlimit(resource.RLIMIT_AS, (1 << 31, 1 << 31))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        try:
            return subprocess.run(args, cwd=self.root, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=30 * seconds,
                                  stdin=subprocess.DEVNULL, preexec_fn=limits, env=dict(os.environ, BUILD='build')).returncode
        except subprocess.TimeoutExpired:
            return -1

    def compile(self, source, to, extra=()):
        os.makedirs(os.path.dirname(os.path.join(self.root, to)), exist_ok=True)
        return self.run([CC] + self.flags + list(extra) + ['-c', '-o', to, source]) == 0

    def read(self, path):
        with open(os.path.join(self.root, path), 'rb') as file:
            return file.read()

    def build(self):
        for source in self.sources:
            if not self.compile(source, 'build/' + source[:-2] + '.o', ['-MMD']):
                sys.exit('cannot compile ' + source)
        for source in self.sources:
            with open(os.path.join(self.root, 'build', source[:-2] + '.d')) as file:
                self.needs[source] = {os.path.normpath(p) for p in file.read().replace('\\\n', ' ').split()[1:]}
        self.link_library({})
        core = [s for s in self.sources if s.startswith('src/') and not s.startswith('src/cli/')]
        self.run(['ar', 'rcs', 'build/libcore.a'] + ['build/' + s[:-2] + '.o' for s in core])
        for test in self.tests:
            self.link_test(test, {})
            out = subprocess.run([CC, '-r', '-nostdlib', '-Wl,-Map=-', '-o', 'build/whole', 'build/tests/unit/%s.o' % test, 'build/libcore.a'],
                                 cwd=self.root, capture_output=True, text=True).stdout
            # The archive knows its objects by their last name alone.
            self.pulls[test] = {s for s in core if re.search(r'libcore\.a\(%s\.o' % os.path.basename(s)[:-2], out)}
        self.link_program({})

    def link(self, to, objects, new, extra):
        return self.run([CC, '-o', to] + [new.get(o, 'build/' + o[:-2] + '.o') for o in objects] + extra) == 0

    def link_library(self, new):
        core = [s for s in self.sources if s.startswith('src/') and not s.startswith('src/cli/')]
        return self.link('build/libcore.so', core, new, ['-shared', '-lubsan', '-lcjson', '-lm', '-lpthread'])

    def link_test(self, test, new):
        own = ['tests/unit/%s.c' % test] + BESIDE.get(test, [])
        return self.link('build/' + test, own, new, ['-Lbuild', '-lcore', '-Wl,-rpath,$ORIGIN'] + LIBS)

    def link_program(self, new):
        cli = [s for s in self.sources if s.startswith('src/cli/')]
        return self.link('build/iolrevise', cli, new, ['-Lbuild', '-lcore', '-Wl,-rpath,$ORIGIN', '-lcjson', '-lm', '-lpthread'])

    def mentions(self, path, pattern):
        if path not in self.text:
            self.text[path] = self.read(path).decode(errors='replace') if not path.startswith('/') else ''
        return re.search(pattern, self.text[path])

    def touched(self, m, source_text):
        """The sources to compile anew. A row of the tables of constants touches only what names it."""
        dependents = [s for s in self.sources if m.file in self.needs[s]]
        prefix = {'data/constants.def': 'c_', 'data/spreads.def': 'sd_'}.get(m.file)
        row = re.match(r'[A-Z_]+\((\w+)', source_text[source_text.rfind('\n', 0, m.at) + 1:])
        if prefix and row:
            name = r'\b%s%s\b|include "%s"' % (prefix, row[1], os.path.basename(m.file))
            dependents = [s for s in dependents if any(
                self.mentions(p, name) for p in self.needs[s] if p != 'src/tables/constants.h' and p != m.file)]
        return dependents

    def changed(self, sources):
        """Objects that differ from those of the original, by source; None when it does not compile."""
        new = {}
        for source in sources:
            to = 'new/' + source[:-2] + '.o'
            if not self.compile(source, to):
                return None
            if self.read(to) != self.read('build/' + source[:-2] + '.o'):
                new[source] = to
        return new

    def says(self, program, word):
        said = subprocess.run([program], cwd=self.root, capture_output=True, text=True)
        return word in said.stdout + said.stderr

    def checked(self, sources):
        """The same objects with the compiler's checks of undefined behaviour, which end the test."""
        new = {s: 'checked/' + s[:-2] + '.o' for s in sources}
        return new if all(self.compile(s, o, ['-fsanitize=undefined', '-fno-sanitize-recover=all']) for s, o in new.items()) else {}


class Runner:
    def __init__(self, drawn):
        self.todo, self.lock, self.results, self.kills = queue.Queue(), threading.Lock(), [], collections.Counter()
        self.end = time.time() + 60 * float(os.environ.get('MINUTES', '1e6'))
        self.cost, self.known = collections.defaultdict(lambda: 1.0), accepted()
        for m in drawn:
            self.todo.put(m)

    def order(self, tree, m):
        with self.lock:
            return sorted(tree.tests, key=lambda t: (
                t == DRIFT, t == VALUES, -(4 * self.kills[m.file, t] + self.kills[part_of(m), t] + 0.01) / self.cost[t]))

    def noticed(self, tree, m, new):
        """The name of the first test that fails, or None."""
        core = [s for s in new if s.startswith('src/') and not s.startswith('src/cli/')]
        cli = [s for s in new if s.startswith('src/cli/')]
        if (core or tree.altered) and not tree.link_library(new):
            return 'link'
        tree.altered = bool(core)
        for test in self.order(tree, m):
            own = 'tests/unit/%s.c' % test
            if own not in new and not tree.pulls[test].intersection(core):
                continue
            if own in new and not tree.link_test(test, new):
                return 'link'
            start = time.time()
            failed = tree.run(['build/' + test], SECONDS)
            self.cost[test] = 0.02 + time.time() - start
            double = failed and test == VALUES and not tree.says('build/' + test, 're-entered')
            if own in new:
                tree.link_test(test, {})
            if failed:
                return DOUBLE if double else test
        if cli:
            tree.link_program(new)
        failed = tree.run(['sh', 'tests/runs/golden.sh'])
        if cli:
            tree.link_program({})
        return 'golden runs' if failed else None

    def try_one(self, tree, m):
        path = os.path.join(tree.root, m.file)
        with open(path) as file:
            original = file.read()
        lines = '\n' * (m.old.count('\n') - m.new.count('\n'))
        mutated = original[:m.at] + m.new + lines + original[m.end:]
        sources = tree.touched(m, original)
        try:
            write(path, mutated)
            new = tree.changed(sources)
            by = 'not compiled' if new is None else self.noticed(tree, m, new) if new else 'equivalent'
            if by is None:
                line = mutated[mutated.rfind('\n', 0, m.at) + 1:mutated.find('\n', m.at)]
                indexes = m.kind != 'left out' and ('[' in line or 'for (' in line)
                by = 'sanitizer' if indexes and self.noticed(tree, m, tree.checked(new)) else 'alive'
        finally:
            write(path, original)
        with self.lock:
            self.kills[m.file, by] += 1
            self.kills[part_of(m), by] += 1
        return by

    def work(self, tree):
        while time.time() < self.end:
            try:
                m = self.todo.get_nowait()
            except queue.Empty:
                return
            by = self.try_one(tree, m)
            with self.lock:
                self.results.append((m, by))
                if by == 'alive' or os.environ.get('TELL'):
                    who = 'accepted' if m.told in self.known else 'nobody' if by == 'alive' else by
                    print('%d\t%s\t%s:%d\t%s\t%s' % ((len(self.results), who, m.file, m.line) + m.told[1:]), flush=True)


def accepted():
    with open('tests/heavy/mutants-accepted.tsv') as file:
        rows = [line.rstrip('\n').split('\t') for line in file][1:]
    if any(len(row) != 4 or not row[3].strip() for row in rows):
        sys.exit('tests/heavy/mutants-accepted.tsv: every row has four columns and a reason')
    return {tuple(row[:3]) for row in rows}


def record(results, population, seed, commit):
    """One row a folder and kind, and one for all."""
    groups = collections.defaultdict(collections.Counter)
    whole = collections.Counter((part_of(m), m.kind) for m in population)
    whole['all', 'all'] = len(population)
    for m, by in results:
        outcome = 'drift' if by in (DRIFT, DOUBLE, 'golden runs') else by if by in ('not compiled', 'equivalent', 'alive', 'sanitizer') else 'tests'
        groups[part_of(m), m.kind][outcome] += 1
        groups['all', 'all'][outcome] += 1
    rows = []
    for (part, kind), count in sorted(groups.items()):
        seen = count['tests'] + count['drift'] + count['sanitizer']
        tried = seen + count['alive']
        rows.append([part, kind, whole[part, kind], tried, count['tests'], count['drift'], count['sanitizer'], count['alive'],
                     '%.1f' % (int(1000 * seen / tried) / 10 if tried else 100), count['equivalent'], count['not compiled']])
    names = 'part kind population tried by_tests by_drift by_sanitizer alive percent equivalent not_compiled'.split()
    print('\t'.join(names))
    for row in rows:
        print('\t'.join(map(str, row)))
    if os.environ.get('RECORD'):
        path = 'docs/runs/mutants.tsv'
        new = not os.path.exists(path)
        run = [datetime.datetime.utcnow().strftime('%Y-%m-%d'), commit, first_line([CC, '--version']), seed]
        with open(path, 'a') as file:
            if new:
                file.write('\t'.join(['date', 'commit', 'compiler', 'seed'] + names) + '\n')
            for row in rows:
                file.write('\t'.join(map(str, run + row)) + '\n')
    whole, double = next(row for row in rows if row[0] == 'all'), sum(by == DOUBLE for _, by in results)
    print('of %d tried: %d noticed by a check, %d by the double entry alone' % (whole[3], whole[4], double))
    return float(whole[8]), 100.0 * (whole[4] + double) / max(1, whole[3])


def first_line(args):
    return subprocess.run(args, capture_output=True, text=True).stdout.split('\n')[0]


def main():
    seed, wanted = int(os.environ.get('SEED', '1')), os.environ.get('MUTANTS', '600')
    rng, commit = random.Random(seed), first_line(['git', 'rev-parse', '--short', 'HEAD'])
    files = [f for folder in FOLDERS for f in sorted(glob.glob(folder + '/*.[ch]'))] + sorted(glob.glob('data/*.def'))
    words = word_lists()
    population = [m for f in files if os.environ.get('ONLY', '') in f for m in mutants_of(f, rng, words)]
    if os.environ.get('DATA'):
        population = [m for m in population if m.file.startswith('data/') and m.kind == 'constant']
    drawn = population if wanted == 'all' else draw(population, int(wanted), rng)
    print('%d of %d errors, seed %d' % (len(drawn), len(population), seed), flush=True)
    work = tempfile.mkdtemp(dir=os.environ.get('BUILD', 'build'))
    try:
        first = Tree(os.path.join(work, 'tree'))
        first.build()
        for args in [['sh', 'tests/runs/golden.sh']] + [['build/' + t] for t in first.tests]:
            if first.run(args):
                sys.exit('fails without any error: ' + args[-1])
        runner, trees = Runner(drawn), [first]
        for i in range(1, int(os.environ.get('JOBS', '2'))):
            trees.append(first.copy(os.path.join(work, 'tree%d' % i)))
        in_threads([lambda tree=tree: runner.work(tree) for tree in trees])
    finally:
        shutil.rmtree(work)
    percent, by_tests = record(runner.results, population, seed, commit)
    if os.environ.get('DATA') and by_tests < 85:
        sys.exit('FAILED mutants: %.1f %% noticed by a check or the double entry, wanted 85 %%' % by_tests)
    if percent < 90:
        sys.exit('FAILED mutants: %.1f %% noticed, wanted 90 %%' % percent)
    if any(by == 'alive' and m.told not in runner.known for m, by in runner.results):
        sys.exit('FAILED mutants: write a test that notices, or a row of tests/heavy/mutants-accepted.tsv with the reason')
    print('passed mutants')


def in_threads(jobs):
    threads = [threading.Thread(target=job) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


if __name__ == '__main__':
    main()
