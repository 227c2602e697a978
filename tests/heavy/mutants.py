#!/usr/bin/env python3
"""make mutants: do the tests notice an error? One small error at a time (tests/heavy/mutant_errors.py) is put into a copy of the project:
anywhere in src/ and data/*.def. The objects that an error changes are compiled anew and laid over those of the library
(build/libover.so comes first), and the tests that run the function are asked one at a time, the likeliest first, until one fails:
  - tests of tests/unit and the scripts of RUNS are checks;
  - then the double entry (test_values), the golden runs and test_drift, which hold values from earlier (with DATA=1 the double entry first);
  - a test of over SLOW seconds is asked only where nothing before it noticed (a check that would have noticed too is then
    counted as a pinned value).
Errors that do not compile are not counted; those whose objects are the same bytes as before are counted apart as equivalent.

MUTANTS=600 SEED=1 draws so many, spread over the folders and kinds; MUTANTS=all takes all. MINUTES=20 ends early; MINUTES=0 only tells what RESULTS holds. JOBS=2.
ONLY=text in the file name. DATA=1: only numbers of data/*.def, and at least 85 % must be noticed by a check or by the double entry
(told apart; in the table of runs the double entry counts with the pinned values). RESULTS=file: each result is added there, and
what stands there is not tried again; with AGAIN=1 what nobody noticed is, with AGAIN=checks too what only pinned values noticed, by the
slow tests. QUICK=1 leaves out the slow tests and the sanitizer, for a first look at many: AGAIN=checks finishes it. ERRORS=file tries no draw but the errors named there, on the sources of today: those of a results file that
nobody noticed, or rows of file, line and change; one whose line no longer stands is told as gone. With REST=1 they are asked of the tests that
by the map do not reach the line, and of no other: who notices then shows a hole in the map. LEARN='file ...': results of other
draws, which tell whom to ask first. WORK=folder: the copy, built and mapped, stays there for the next draw
from the same sources; tests that were changed since are mapped anew. Prints every error that nobody noticed (TELL=1: who noticed the
others); fails when fewer than 90 % are noticed, or when one that nobody noticed is not in tests/heavy/mutants-accepted.tsv.
RECORD=1 adds the figures to docs/runs/mutants.tsv, under the commit of the verdicts (COMMIT=text where it is not the one that stands here)."""
import bisect
import collections
import copy
import datetime
import glob
import hashlib
import os
import pickle
import queue
import random
import re
import resource
import shlex
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

from mutant_errors import draw, mutants_of, named, part_of, word_lists

CC = os.environ.get('CC', 'gcc')
FLAGS = ('-std=c11 -ffp-contract=off -D_POSIX_C_SOURCE=200809L -DIOLREVISE_BUILDING -Iinclude -Iinclude/iolrevise -Idata -Isrc -Itests -Itests/unit -O1 -fPIC -w').split()
OURS = '-Lbuild -Wl,-rpath,$ORIGIN -Wl,-rpath,$ORIGIN/../.. -Wl,--no-as-needed -lask -lover -lcli -lcore -Wl,--as-needed'.split()
LIBS = '-lcmocka -lgsl -lgslcblas -lcjson -lm -lpthread'.split()
# What the Makefile links to a test beside the library.
DRAWN = ['tests/tools/%s.c' % s for s in ('random_case', 'case_text', 'case_twins', 'blanking')]
with open('Makefile') as _make:  # those that are linked with the drawn cases stand there
    BESIDE = {t: DRAWN for t in re.findall(r'unit/(test_\w+)', next(line for line in _make if line.rstrip().endswith(': $(DRAWN)')))}
BESIDE['test_blanking'] = ['tests/tools/blanking.c']
TOOLS = {'drawn_cases': DRAWN, 'generate_past_cases': [], 'hard_cases': []}
RUNS = ['files', 'box', 'import', 'fill', 'sheets', 'check_lines', 'limits', 'reference', 'output', 'recheck', 'past', 'schema', 'schema_few', 'told', 'drawn', 'shown', 'commands', 'pages']
MANY = ('test_decision', 'test_drift', 'test_random', 'schema', 'recheck', 'pages')  # the longest, mapped first
LATE = {'test_random', 'test_facts', 'test_blanking', 'test_printed', 'recheck', 'schema'}  # many eyes, files or schemas: asked with the slow ones
ROOM = 1 << 25  # of mutants_ask.c
WITHOUT = {'test_cost', 'test_check'}  # counts calls inside the static library; has tests that are meant to fail
DRIFT = 'test_drift'
VALUES = 'test_values'  # every number a second time
DOUBLE = 'double entry'  # noticed by a row of VALUES that was not entered again from its source
GOLDEN, SUMS = 'golden runs', 'pages'  # SUMS: checksums of whole pages
PINNED = (DRIFT, DOUBLE, GOLDEN)
SLOW, SECONDS, FIRST = 0.7, 10, 12
QUICK, REST = os.environ.get('QUICK'), os.environ.get('REST')

Ask = collections.namedtuple('Ask', 'kind program test cost runs')  # runs: the lines and functions


def write(path, text):
    with open(path, 'w') as file:
        file.write(text)


class Tree:
    """A copy of the project with its objects, for one worker."""

    def __init__(self, root):
        self.root, self.text, self.needs, self.expanded = root, {}, {}, {}
        for folder in ('src', 'include', 'data', 'tests', 'examples', 'docs'):
            shutil.copytree(folder, os.path.join(root, folder))
        cjson = subprocess.run(['pkg-config', '--cflags', 'libcjson'], capture_output=True, text=True).stdout.split()
        self.flags = FLAGS + (cjson or ['-I/usr/include/cjson'])
        self.tests = sorted(os.path.basename(t)[:-2] for t in glob.glob('tests/unit/test_*.c'))
        self.tests = [t for t in self.tests if t not in WITHOUT]
        self.src = sorted(glob.glob('src/*/*.c'))
        self.sources = self.src + ['tests/unit/%s.c' % t for t in self.tests] + DRAWN + ['tests/tools/%s.c' % t for t in TOOLS]

    def copy(self, root):
        shutil.copytree(self.root, root, ignore=shutil.ignore_patterns('.files*'))
        twin = copy.copy(self)
        twin.root, twin.text, twin.expanded = root, dict(self.text), dict(self.expanded)
        return twin

    def run(self, args, cost=None, env=(), out=None):
        """The status, what it said on standard error (up to the first failed test or check, where it is ended), and its seconds."""
        seconds = int(3 + 8 * cost) if cost else SECONDS * 12

        def limits():
            os.setsid()
            resource.setrlimit(resource.RLIMIT_AS, (1 << 32, 1 << 32))
            resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
            resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
        with open(out or os.devnull, 'wb') as told:
            child = subprocess.Popen(args, cwd=self.root, stdout=told, stderr=subprocess.PIPE, stdin=subprocess.DEVNULL, preexec_fn=limits,
                                     env=dict(os.environ, BUILD='build', TMPDIR=self.folder(), **dict(env)))
        late = threading.Timer(30 * seconds, lambda: os.killpg(child.pid, signal.SIGKILL))
        late.start()
        said, ended = b'', False
        for line in child.stderr:
            said += line
            if line.startswith((b'[  FAILED  ]', b'FAILED ')):
                ended = True
                try:
                    os.killpg(child.pid, signal.SIGKILL)
                except ProcessLookupError:
                    pass
                break
        child.stderr.close()
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = status
        late.cancel()
        if ended:  # a script that is killed leaves its files behind
            shutil.rmtree(self.folder(), ignore_errors=True)
        return (1 if ended else status), said.decode(errors='replace'), used.ru_utime + used.ru_stime

    def folder(self):
        """For the files of scripts: nobody else's."""
        path = os.path.join(os.path.abspath(self.root), '.files%d' % threading.get_ident())
        os.makedirs(path, exist_ok=True)
        return path

    def done(self, args):
        return self.run(args)[0] == 0

    def compile(self, source, to, extra=()):
        os.makedirs(os.path.dirname(os.path.join(self.root, to)), exist_ok=True)
        extra = list(extra) + (['-Dmain=iol_program'] if source == 'src/cli/main.c' else [])
        return self.done([CC] + self.flags + extra + ['-c', '-o', to, source])

    def read(self, path):
        with open(os.path.join(self.root, path), 'rb') as file:
            return file.read()

    def libraries(self, build, objects, extra=()):
        cli = [s for s in self.src if s.startswith('src/cli/')]
        core = [s for s in self.src if s not in cli]
        for name, some in (('core', core), ('cli', cli)):
            if not self.done([CC, '-shared', '-o', '%s/lib%s.so' % (build, name)] + [objects + s[:-2] + '.o' for s in some] + list(extra)):
                sys.exit('cannot link lib' + name)

    def build(self):
        in_threads([lambda part=part: [self.compile(s, 'build/' + s[:-2] + '.o', ['-MMD']) or sys.exit('cannot compile ' + s)
                                       for s in self.sources[part::2]] for part in (0, 1)])
        for source in self.sources:
            with open(os.path.join(self.root, 'build', source[:-2] + '.d')) as file:
                self.needs[source] = {os.path.normpath(p) for p in file.read().replace('\\\n', ' ').split()[1:]}
        write(os.path.join(self.root, 'build/start.c'), 'int iol_program(int, char **);\nint main(int n, char **a) { return iol_program(n, a); }\n')
        write(os.path.join(self.root, 'build/nothing.c'), '')
        self.done([CC, '-fPIC', '-c', '-o', 'build/nothing.o', 'build/nothing.c'])
        self.done([CC, '-O1', '-fPIC', '-shared', '-o', 'build/libask.so', 'tests/heavy/mutants_ask.c', '-ldl'])
        self.lay_over({})
        self.libraries('build', 'build/', ['-lubsan'])
        if not self.done([CC, '-o', 'build/iolrevise', 'build/start.c'] + OURS + ['-lcjson', '-lm', '-lpthread']):
            sys.exit('cannot link the program')
        os.makedirs(os.path.join(self.root, 'build/tests/tools'), exist_ok=True)
        for tool, with_it in TOOLS.items():
            self.done([CC, '-o', 'build/tests/tools/' + tool] + ['build/%s.o' % s[:-2] for s in ['tests/tools/%s.c' % tool] + with_it] + OURS + LIBS)
        for test in self.tests:
            self.link_test(test, {}, 'build/' + test)

    def lay_over(self, new, extra=()):
        over = sorted(o for s, o in new.items() if s.startswith('src/'))
        return self.done([CC, '-shared', '-o', 'build/libover.so', 'build/nothing.o'] + over + list(extra))

    def link_test(self, test, new, to):
        own = ['tests/unit/%s.c' % test] + BESIDE.get(test, [])
        return self.done([CC, '-o', to] + [new.get(s, 'build/' + s[:-2] + '.o') for s in own] + OURS + LIBS)

    def tests_of(self, program, env):
        """The tests of a program in their order, with the share of its seconds that each took; what it said where it fails."""
        env = dict(os.environ, **dict(env))
        child = subprocess.Popen(['stdbuf', '-oL', 'build/' + program], cwd=self.root, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                                 stdin=subprocess.DEVNULL, env=env)
        said, begun = [], []
        for line in child.stdout:
            said.append(line.decode(errors='replace'))
            name = re.search(r'\[ RUN      \] (\w+)', said[-1])
            if name:
                begun.append((name[1], time.time()))
        ended = time.time()
        child.stdout.close()
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = status
        if status:
            sys.exit('fails without any error: %s\n%s' % (program, ''.join(said)))
        whole = max(1e-6, ended - begun[0][1])
        ends = [at for _, at in begun[1:]] + [ended]
        return [(name, (used.ru_utime + used.ru_stime) * (end - at) / whole) for (name, at), end in zip(begun, ends)]

    def map(self):
        """Every single test with its seconds, and the lines and functions that its program runs."""
        if not os.path.exists(os.path.join(self.root, 'mapped/libcli.so')):
            os.makedirs(os.path.join(self.root, 'mapped'))
            in_threads([lambda part=part: [self.compile(s, 'mapped/' + s[:-2] + '.o', ['-g', '-O0', '-fsanitize-coverage=trace-pc'])
                                           for s in self.src[part::2]] for part in (0, 1)])
            self.libraries('mapped', 'mapped/', ['-Lbuild', '-lask'])
        return self.map_these([(kind, program) for kind, some in (('unit', self.tests), ('run', RUNS), ('golden', sorted(c[:-4] for c in glob.glob('tests/golden/*.cmd'))))
                               for program in sorted(some, key=lambda p: p not in MANY)])

    def map_these(self, programs):
        blocks, self.lines = self.blocks()
        todo = queue.Queue()
        for each in programs:
            todo.put(each)
        asks, lock = [], threading.Lock()

        def work():
            while True:
                try:
                    kind, program = todo.get_nowait()
                except queue.Empty:
                    return
                path = os.path.join(self.root, 'mapped', 'of_%s_%s' % (kind, os.path.basename(program)))
                whole = Ask(kind, program, '', None, None)
                failed, said, cost = self.ask(whole)
                if failed:
                    print('fails without any error, left out: %s\n%s' % (program, said), flush=True)
                    continue
                tests = self.tests_of(program, {}) if kind == 'unit' else [('', cost)]
                self.ask(whole, dict(ASK_MAP=path, LD_LIBRARY_PATH=os.path.join(self.root, 'mapped')))
                with open(path, 'rb') as file:
                    entered = file.read()
                os.remove(path)
                runs = frozenset(place for at, places in blocks.items() if entered[at] for place in places)
                with lock:
                    asks.extend(Ask(kind, program, test, seconds, runs) for test, seconds in tests)
        in_threads([work, work])
        return asks

    def renew(self, asks):
        """Tests and runs that were changed or written since the map was made are put in their place and mapped anew; sources stay."""
        changed = []
        for path in glob.glob('tests/**/*', recursive=True):
            there = os.path.join(self.root, path)
            if os.path.isfile(path) and (not os.path.exists(there) or open(path, 'rb').read() != open(there, 'rb').read()):
                changed.append(path)
                os.makedirs(os.path.dirname(there), exist_ok=True)
                shutil.copy(path, there)
        known = {a.program for a in asks}
        units = [t for t in self.tests if 'tests/unit/%s.c' % t in changed]
        runs = [r for r in RUNS if r not in known or any(os.path.basename(p).startswith((r + '.', r + '_')) for p in changed)]
        for test in units:
            self.compile('tests/unit/%s.c' % test, 'build/tests/unit/%s.o' % test)
            self.link_test(test, {}, 'build/' + test)
        anew = [('unit', t) for t in units] + [('run', r) for r in runs]
        print('mapped anew: ' + ' '.join(p for _, p in anew), flush=True)
        return [a for a in asks if a[:2] not in anew] + self.map_these(anew) if anew else asks

    def blocks(self):
        """What each block of the mapped libraries holds, by the place of its byte: (file, line) and (file, function); and all lines."""
        blocks = collections.defaultdict(set)
        for number, name in enumerate(('core', 'cli')):
            library = os.path.join(self.root, 'mapped/lib%s.so' % name)
            code = subprocess.run(['objdump', '-d', '--no-show-raw-insn', library], capture_output=True, text=True).stdout
            begins = sorted(int(at, 16) for at in re.findall(r'(?m)^ *([0-9a-f]+):\s+call .*<__sanitizer_cov_trace_pc@plt>', code))
            told = subprocess.run(['objdump', '--dwarf=decodedline', library], capture_output=True, text=True).stdout
            places = sorted(set(begins) | {int(at, 16) for at in re.findall(r'\b0x([0-9a-f]+)\b', told)})
            said = subprocess.run(['addr2line', '-f', '-e', library], input='\n'.join('%x' % p for p in places), capture_output=True, text=True).stdout.split('\n')
            for place, function, at in zip(places, said[::2], said[1::2]):
                line = re.search(r'(src/\w+/\w+\.[ch]|include/[\w/]+\.h):(\d+)', os.path.normpath(at))
                block = bisect.bisect_right(begins, place) - 1
                if line and block >= 0:  # the call that enters a block is five bytes long
                    blocks[number * ROOM + begins[block] + 5].update([(line[1], int(line[2])), (line[1], function)])
        return dict(blocks), frozenset(place for places in blocks.values() for place in places)

    def ask(self, a, env=(), program=None):
        """Whether it fails, what it said, its seconds."""
        env = dict(env)
        if a.kind == 'unit':
            if a.test:
                env['ASK_ONLY'] = a.test
            status, said, cost = self.run([program or 'build/' + a.program], a.cost, env)
        elif a.kind == 'run':
            status, said, cost = self.run(['sh', '-c', 'exec sh tests/runs/%s.sh >&2' % a.program], a.cost, env)
        else:
            line, mine = self.read(a.program + '.cmd').decode().strip(), str(threading.get_ident())  # two may run in one tree
            given = a.program + '.in' if os.path.exists(os.path.join(self.root, a.program + '.in')) else '/dev/null'
            status, said, cost = self.run(['sh', '-c', 'exec build/iolrevise %s <%s 2>err%s' % (line, shlex.quote(given), mine)], a.cost, env,
                                          os.path.join(self.root, 'out' + mine))
            code = status >> 8 if os.WIFEXITED(status) else -1
            status = not (code == int(self.read(a.program + '.exit')) and self.read('out' + mine) == self.read(a.program + '.out') and
                          self.read('err' + mine) == self.read(a.program + '.err'))
        return status != 0, said, cost

    def mentions(self, path, pattern):
        if path not in self.text:
            self.text[path] = self.read(path).decode(errors='replace') if not path.startswith('/') else ''
        return re.search(pattern, self.text[path])

    def expand(self, path):
        out = subprocess.run([CC] + self.flags + ['-E', '-P', '-x', 'c', path], cwd=self.root, capture_output=True).stdout
        return hashlib.sha1(out).digest()

    def includers(self, table):
        """The files with code that include a table, through other tables too."""
        found, todo, every = set(), [table], {p for s in self.sources for p in self.needs[s] if not p.startswith('/')}
        while todo:
            name = os.path.basename(todo.pop())
            for path in every - found:
                if self.mentions(path, r'(?m)^ *# *include ".*\b%s"' % re.escape(name)):
                    found.add(path)
                    if path.endswith('.def'):
                        todo.append(path)
        return {p for p in found if not p.endswith('.def')}

    def touched(self, m, source_text, put):
        """The sources to compile anew. Put: writes the error. A row of the tables of constants touches only what names it."""
        dependents = [s for s in self.sources if m.file in self.needs[s]]
        if m.file.endswith('.def'):
            prefix = {'data/constants.def': 'c_', 'data/spreads.def': 'sd_'}.get(m.file)
            row = re.match(r'[A-Z_]+\((\w+)', source_text[source_text.rfind('\n', 0, m.at) + 1:])
            if prefix and row:
                name = r'\b%s%s\b|include "%s"' % (prefix, row[1], os.path.basename(m.file))
                dependents = [s for s in dependents if any(
                    self.mentions(p, name) for p in self.needs[s] if p != 'src/tables/constants.h' and p != m.file)]
            else:
                changed = self.includers(m.file)
                for path in changed - set(self.expanded):
                    self.expanded[path] = self.expand(path)
                put()
                changed = {p for p in changed if self.expand(p) != self.expanded[p]}
                dependents = [s for s in dependents if self.needs[s] & changed]
        put()
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

    def checked(self, sources):
        """The same objects with the compiler's checks of undefined behaviour, which end the test."""
        new = {s: 'checked/' + s[:-2] + '.o' for s in sources}
        return new if all(self.compile(s, o, ['-fsanitize=undefined', '-fno-sanitize-recover=all']) for s, o in new.items()) else {}


class Runner:
    def __init__(self, drawn, asks, done, lines, commit):
        self.commit = commit
        self.todo, self.lock, self.results, self.kills = queue.Queue(), threading.Lock(), [], collections.Counter()
        self.end = time.time() + 60 * float(os.environ.get('MINUTES', '1e6'))
        self.asks, self.lines, self.known, self.log, self.alone, self.leaning = asks, lines, accepted(), None, set(), set()
        self.cost = {}  # of those that passed, as it was found
        self.now = {}  # the error that stands in each tree
        if os.environ.get('RESULTS'):
            self.log = open(os.environ['RESULTS'], 'a')
        self.programs, self.was = collections.Counter(), {}
        tests = collections.Counter(a.program for a in asks)
        for i, m in enumerate(drawn):
            if i in done and not (os.environ.get('AGAIN') == 'checks' and done[i] in PINNED):
                self.results.append((m, done[i]))
                for where in (m.file, part_of(m)):
                    self.programs[where, done[i]] += 1.0 / max(1, tests[done[i]])
            else:
                self.was[m] = done.get(i)
                self.todo.put((i, m))
        for path in os.environ.get('LEARN', '').split():  # who noticed in another draw is asked first
            with open(path) as file:
                for _, by, _, at, *_ in (row.split('\t') for row in file):
                    name = at.rsplit(':', 1)[0]
                    for where in (name, os.path.dirname(name)):
                        self.programs[where, by] += 1.0 / max(1, tests[by])

    def those(self, m, new):
        """What could notice: the likeliest for its time first, the pinned values and the slow ones left for later."""
        place = (m.file, m.function)
        lines = [(m.file, line) for line in range(m.statement[0], m.statement[1] + 1) if (m.file, line) in self.lines]

        def could(a):
            if any(s.startswith('tests/') for s in new):
                return True
            if not m.function or not m.file.endswith('.c'):
                return any(f in new for f, _ in a.runs)
            return any(line in a.runs for line in lines) if lines else place in a.runs
        own = {os.path.basename(s)[:-2] for s in new if s.startswith('tests/unit/')}
        some = [a for a in self.asks if (could(a) or a.program in own) == (not REST)]
        with self.lock:
            value = {a: (8 * self.kills[place, a[:3]] + 3 * self.kills[m.file, a[:3]] + self.kills[part_of(m), a[:3]] +
                         3 * self.programs[m.file, a.program] + self.programs[part_of(m), a.program] + 0.02) /
                     (self.cost.get(a[:3], a.cost) + 0.02) for a in some}
        return sorted(some, key=lambda a: -value[a])

    def noticed(self, tree, m, new, checks_only=False):
        """The name of the first test that fails, or None."""
        if not tree.lay_over(new, ['-lubsan'] if checks_only else []):
            return 'link'
        linked = {}

        def fails(a, env=()):
            own = ['tests/unit/%s.c' % a.program] + BESIDE.get(a.program, [])
            if a.kind == 'unit' and any(s in new for s in own):
                if a.program not in linked:
                    linked[a.program] = 'build/own_' + a.program
                    if not tree.link_test(a.program, new, linked[a.program]):
                        return True, ''
            failed, said, cost = tree.ask(a, env, linked.get(a.program))
            if a.test and not failed:
                self.cost[a[:3]] = cost
            return failed and self.stands_alone(tree, a, new, env), said

        asks = self.those(m, new)
        pinned = sorted([a for a in asks if a.kind == 'golden' or a.program in (DRIFT, VALUES, SUMS)], key=lambda a: a.program == SUMS)
        slow = [a for a in asks if a not in pinned and (a.program in LATE or a.kind == 'unit' and self.cost.get(a[:3], a.cost) > SLOW)]
        quick = [a for a in asks if a not in pinned and a not in slow]
        if self.was.get(m):  # the quick ones were asked: only pinned values noticed
            return next((self.hit(m, a) for a in slow if fails(a)[0]), self.was[m])
        by_program = collections.defaultdict(list)

        def double():
            values = [a for a in pinned if a.program == VALUES]
            failed, said = fails(Ask('unit', VALUES, '', sum(a.cost for a in values), None)) if values else (False, '')
            return failed and (VALUES if 're-entered' in said else DOUBLE)

        if os.environ.get('DATA') and not checks_only and (by := double()):
            return by
        for a in quick[:FIRST]:
            if fails(a)[0]:
                return self.hit(m, a)
        for a in quick[FIRST:]:
            by_program[a.kind, a.program].append(a)
        for (kind, program), some in by_program.items():
            if len(some) < 3:
                for a in some:
                    if fails(a)[0]:
                        return self.hit(m, a)
                continue
            skip = [a.test for a in slow if a.kind == 'unit' and a.program == program]
            if len(skip) < 2 or program in self.leaning:
                whole = Ask(kind, program, '', sum(a.cost for a in self.asks if a.program == program), None)
                failed, said = fails(whole, {'ASK_SKIP': skip[0]} if skip and program not in self.leaning else {})
                if program in self.leaning and not failed:
                    failed, said = fails(whole)
                name = re.search(r'\[  FAILED  \] (\w+)', said)
                if failed:
                    return self.hit(m, next((a for a in some if name and a.test == name[1]), some[0]))
            else:
                for a in some:
                    if fails(a)[0]:
                        return self.hit(m, a)
        if checks_only:
            return None
        if not os.environ.get('DATA') and (by := double()):
            return by
        for a in pinned:
            if (a.kind == 'golden' or a.program == SUMS) and fails(a)[0]:
                self.hit(m, a)
                return GOLDEN
        if QUICK:
            return None
        for a in slow:
            if fails(a)[0]:
                return self.hit(m, a)
        return DRIFT if any(a.program == DRIFT and fails(a)[0] for a in pinned) else None

    def stands_alone(self, tree, a, new, env):
        """Whether a run, or a test that was asked alone or all but one, passes without any error: one that leans on those before it has
        noticed nothing."""
        key = a[:3] + tuple(env.items() if isinstance(env, dict) else env)
        if key in self.alone or a.kind == 'golden' or a.kind == 'unit' and not a.test and not env:
            return True
        tree.lay_over({})
        path = os.path.join(tree.root, self.now[tree].file)  # runs read the tables too
        with open(path) as file:
            mutated = file.read()
        shutil.copy(self.now[tree].file, path)
        failed = tree.ask(a, env)[0]
        write(path, mutated)
        tree.lay_over(new)
        with self.lock:
            if not failed:
                self.alone.add(key)
            elif a.kind == 'unit' and not a.test:
                self.leaning.add(a.program)
            elif a.kind == 'unit':
                whole = [other for other in self.asks if other[:2] == a[:2]]
                self.asks = [other for other in self.asks if other[:3] != a[:3]]
                if all(other.test for other in whole):
                    self.asks.append(a._replace(test='', cost=sum(other.cost for other in whole)))
        return not failed

    def hit(self, m, a):
        with self.lock:
            for where in ((m.file, m.function), m.file, part_of(m)):
                self.kills[where, a[:3]] += 1
        return a.program

    def try_one(self, tree, m):
        self.now[tree] = m
        path = os.path.join(tree.root, m.file)
        with open(path) as file:
            original = file.read()
        lines = '\n' * (m.old.count('\n') - m.new.count('\n'))
        mutated = original[:m.at] + m.new + lines + original[m.end:]
        try:
            sources = tree.touched(m, original, lambda: write(path, mutated))
            new = tree.changed(sources)
            by = 'not compiled' if new is None else self.noticed(tree, m, new) if new else 'equivalent'
            if by is None:
                line = mutated[mutated.rfind('\n', 0, m.at) + 1:mutated.find('\n', m.at)]
                indexes = not QUICK and m.kind != 'left out' and ('[' in line or 'for (' in line)
                by = 'sanitizer' if indexes and self.noticed(tree, m, tree.checked(new), True) else 'alive'
        finally:
            write(path, original)
        return by

    def work(self, tree):
        while time.time() < self.end:
            try:
                i, m = self.todo.get_nowait()
            except queue.Empty:
                return
            start = time.time()
            by = self.try_one(tree, m)
            with self.lock:
                self.results.append((m, by))
                if self.log:
                    self.log.write('%d\t%s\t%.1f\t%s:%d\t%s\t%s\t%s\n' % ((i, by, time.time() - start, m.file, m.line) + m.told[1:] + (self.commit,)))
                    self.log.flush()
                if by == 'alive' or os.environ.get('TELL'):
                    who = 'accepted' if m.told in self.known and by == 'alive' else 'nobody' if by == 'alive' else by
                    print('%d\t%s\t%s:%d\t%s\t%s' % ((len(self.results), who, m.file, m.line) + m.told[1:]), flush=True)


def as_coverage_says(tree, asks):
    """The map against another measurement: of each folder it reaches the share of lines that `make coverage` counts, or it has a hole."""
    reached, all_of, run_of = set().union(*(a.runs for a in asks)), collections.Counter(), collections.Counter()
    for place in tree.lines:
        if isinstance(place[1], int) and place[0].endswith('.c'):
            all_of[os.path.dirname(place[0])] += 1
            run_of[os.path.dirname(place[0])] += place in reached
    with open('docs/runs/coverage.tsv') as file:
        counted = {row[3]: float(row[6]) for row in (line.rstrip('\n').split('\t') for line in file) if row[3] in all_of}
    for folder, percent in sorted(counted.items()):
        mine = 100.0 * run_of[folder] / all_of[folder]
        if mine < percent - 2.0:
            sys.exit('the map has a hole: %s, %.1f %% of its lines, by make coverage %.1f %%' % (folder, mine, percent))
    print('the map reaches the lines that make coverage counts, in %d folders' % len(counted), flush=True)


def accepted():
    with open('tests/heavy/mutants-accepted.tsv') as file:
        rows = [line.rstrip('\n').split('\t') for line in file][1:]
    if any(len(row) != 4 or not row[3].strip() for row in rows):
        sys.exit('tests/heavy/mutants-accepted.tsv: every row has four columns and a reason')
    for file, line, *_ in rows:
        if not os.path.exists(file) or line not in {' '.join(each.split()) for each in open(file)}:
            print('tests/heavy/mutants-accepted.tsv: no longer in %s: %s' % (file, line))
    return {tuple(row[:3]) for row in rows}


def record(results, population, seed, commit):
    """One row a folder and kind, and one for all."""
    groups = collections.defaultdict(collections.Counter)
    whole = collections.Counter((part_of(m), m.kind) for m in population)
    whole['all', 'all'] = len(population)
    for m, by in results:
        outcome = 'drift' if by in PINNED else by if by in ('not compiled', 'equivalent', 'alive', 'sanitizer') else 'tests'
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
        how = (' quick' if QUICK else '') + (', ended early' if os.environ.get('MINUTES') == '0' else '')
        run = [datetime.datetime.utcnow().strftime('%Y-%m-%d'), commit, first_line([CC, '--version']), '%s%s' % (seed, how)]
        with open(path, 'a') as file:
            if new:
                file.write('\t'.join(['date', 'commit', 'compiler', 'seed'] + names) + '\n')
            for row in rows:
                file.write('\t'.join(map(str, run + row)) + '\n')
    whole, double = next(row for row in rows if row[0] == 'all'), sum(by == DOUBLE for _, by in results)
    print('of %d tried: %d noticed by a check, %d by the double entry alone' % (whole[3], whole[4], double))
    return float(whole[8]), 100.0 * (whole[4] + double) / max(1, whole[3])


def again(runner, drawn, gone, commit):
    """What became of the errors of a file; fails for one that is neither noticed nor accepted."""
    count, told = collections.Counter(), collections.defaultdict(set)
    for m, by in runner.results:
        told[m.told].add('pinned' if by in PINNED else 'nobody' if by == 'alive' else by if by in ('equivalent', 'not compiled', 'sanitizer') else 'check')
    for error, by in told.items():  # of a line that could be meant in several places the one that is noticed least
        least = next(x for x in ('nobody', 'sanitizer', 'pinned', 'check', 'equivalent', 'not compiled') if x in by)
        count['accepted' if least in ('nobody', 'equivalent') and error in runner.known else least] += 1
    for error in {m.told for m in drawn} - set(told):
        count['accepted' if error in runner.known else 'not_tried'] += 1
    names = 'check pinned sanitizer accepted nobody equivalent not_tried'.split()
    row = [datetime.datetime.utcnow().strftime('%Y-%m-%d'), commit, os.path.basename(os.environ['ERRORS']), sum(count.values()) + gone, gone]
    row += [count[name] for name in names]
    print('\t'.join(['date', 'commit', 'errors', 'asked', 'gone'] + names), '\t'.join(map(str, row)), sep='\n')
    if os.environ.get('RECORD'):
        new = not os.path.exists('docs/runs/mutants_again.tsv')
        with open('docs/runs/mutants_again.tsv', 'a') as file:
            if new:
                file.write('\t'.join(['date', 'commit', 'errors', 'asked', 'gone'] + names) + '\n')
            file.write('\t'.join(map(str, row)) + '\n')
    if count['nobody']:
        sys.exit('FAILED mutants: %d that nobody noticed, and none says why' % count['nobody'])
    print('passed mutants')


def first_line(args):
    return subprocess.run(args, capture_output=True, text=True).stdout.split('\n')[0]


def main():
    seed, wanted = int(os.environ.get('SEED', '1')), os.environ.get('MUTANTS', '600')
    rng, commit = random.Random(seed), os.environ.get('COMMIT') or first_line(['git', 'rev-parse', '--short', 'HEAD'])
    words, done = word_lists(), {}
    files = sorted(glob.glob('src/*/*.[ch]')) + sorted(glob.glob('data/*.def'))
    population = [m for f in files if os.environ.get('ONLY', '') in f for m in mutants_of(f, rng, words)]
    if os.environ.get('DATA'):
        population = [m for m in population if m.file.startswith('data/') and m.kind == 'constant']
    if os.environ.get('ERRORS'):
        drawn, gone = named(os.environ['ERRORS'], files, words)
        for told in gone:
            print('gone\t%s\t%s\t%s' % told)
    else:
        drawn = population if wanted == 'all' else draw(population, int(wanted), rng)
    if os.path.exists(os.environ.get('RESULTS', '')):
        with open(os.environ['RESULTS']) as file:
            judged = set()  # the commits that the verdicts are of, which the record names: not the one that stands here now
            for i, by, _, at, line, change, *of in (row.rstrip('\n').split('\t') for row in file):
                judged.update(of or [commit])
                m = drawn[int(i)]
                if (at.rsplit(':', 1)[0], line, change) != m.told:
                    sys.exit('RESULTS are of another draw: ' + at)
                if by != 'alive' or not os.environ.get('AGAIN'):  # the newest row of an error counts
                    done[int(i)] = by
                else:
                    done.pop(int(i), None)
        if os.environ.get('MINUTES') == '0':
            commit = ' and '.join(sorted(judged))
    print('%d of %d errors, %s' % (len(drawn), len(population), os.environ.get('ERRORS') or 'seed %d' % seed), flush=True)
    if os.environ.get('MINUTES') == '0':  # what a run that was ended has found
        runner = Runner(drawn, [], done, frozenset(), commit)
        again(runner, drawn, len(gone), commit) if os.environ.get('ERRORS') else record(runner.results, population, seed, commit)
        return
    work = os.path.abspath(os.environ.get('WORK') or tempfile.mkdtemp(dir=os.environ.get('BUILD', 'build')))
    state = os.path.join(work, 'state')
    try:
        if os.path.exists(state):
            with open(state, 'rb') as file:
                first, asks = pickle.load(file)
            for folder in ('src', 'include', 'data'):  # a run that was ended leaves its last error behind
                shutil.copytree(folder, os.path.join(first.root, folder), dirs_exist_ok=True)
            first.lay_over({})
            asks = first.renew(asks)
            with open(state, 'wb') as file:
                pickle.dump((first, asks), file)
        else:
            first = Tree(os.path.join(work, 'tree'))
            first.build()
            asks = first.map()
            with open(state, 'wb') as file:
                pickle.dump((first, asks), file)
        as_coverage_says(first, asks)
        runner, trees = Runner(drawn, asks, done, first.lines, commit), [first]
        print('%d tests and runs, %.0f s in all' % (len(asks), sum(a.cost for a in asks)), flush=True)
        for i in range(1, int(os.environ.get('JOBS', '2'))):
            shutil.rmtree(os.path.join(work, 'tree%d' % i), ignore_errors=True)
            trees.append(first.copy(os.path.join(work, 'tree%d' % i)))
        in_threads([lambda tree=tree: runner.work(tree) for tree in trees])
    finally:
        if not os.environ.get('WORK'):
            shutil.rmtree(work)
    if os.environ.get('ERRORS'):
        return again(runner, drawn, len(gone), commit)
    percent, by_tests = record(runner.results, population, seed, commit)
    if os.environ.get('DATA') and by_tests < 85:
        sys.exit('FAILED mutants: %.1f %% noticed by a check or the double entry, wanted 85 %%' % by_tests)
    if percent < 90:
        sys.exit('FAILED mutants: %.1f %% noticed, wanted 90 %%' % percent)
    if any(by == 'alive' and m.told not in runner.known for m, by in runner.results):
        sys.exit('FAILED mutants: write a test that notices, or a row of tests/heavy/mutants-accepted.tsv with the reason')
    print('passed mutants')


def in_threads(jobs):
    faults = []

    def guarded(job):
        try:
            job()
        except BaseException as fault:  # a thread's end is the run's end
            faults.append(fault)
    threads = [threading.Thread(target=guarded, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if faults:
        raise faults[0]


if __name__ == '__main__':
    main()
