"""The small errors that tests/heavy/mutants.py tries: another operator, another constant (the last printed digit, the next word of a
list), a statement or a row left out."""
import collections
import os
import re

ROW_TABLES = ['option_rules', 'decision_rules', 'decision_advice', 'risk_factors', 'rungs', 'theatre_items', 'removal_rules', 'remarks',
              'suspects', 'missing_tests', 'needs', 'counselling', 'standing_rules']

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

# told: file, line and change, by which an accepted one is known again; function: the one that it stands in, or None;
# statement: its first and last line
Mutant = collections.namedtuple('Mutant', 'file kind at end new line old told function statement')

END = re.compile(r'[;{}]|$(?!\n)')


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


def functions(text, tokens):
    """Spans of function bodies with their names: a block at the outermost level behind a closing bracket."""
    found, depth, name, start, last, round_depth, candidate = [], 0, None, 0, None, 0, None
    for kind, token, at, end in tokens:
        if depth == 0 and token == '(':
            round_depth += 1
            if round_depth == 1:
                candidate = last
        elif depth == 0 and token == ')':
            round_depth -= 1
        elif token == '{':
            if depth == 0:
                name, start = (candidate if last == ')' else None), at
            depth += 1
        elif token == '}':
            depth -= 1
            if depth == 0 and name:
                found.append((start, end, name))
        last = token
    return found


def mutants_of(path, rng, words):
    text = open(path).read()
    table = path.endswith('.def')
    tokens = [(m.lastgroup, m[0], m.start(), m.end()) for m in TOKEN.finditer(text) if m.lastgroup != 'skip']
    line_of = lambda at: text.count('\n', 0, at) + 1
    found, bodies = [], [] if table else functions(text, tokens)

    def add(kind, at, end, new):
        line = text[text.rfind('\n', 0, at) + 1:(text + '\n').find('\n', at)]
        told = path, ' '.join(line.split()), '%s -> %s' % (' '.join(text[at:end].split()), ' '.join(new.split()) or '(left out)')
        first = max(text.rfind(sign, 0, at) for sign in ';{}') + 1
        first += len(text[first:at]) - len(text[first:at].lstrip())
        last = END.search(text, end).start()
        found.append(Mutant(path, kind, at, end, new, line_of(at), text[at:end], told,
                            next((name for start, stop, name in bodies if start <= at < stop), None), (line_of(first), line_of(last))))

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


def named(path, files, words):
    """The errors of a file (those of a results file that nobody noticed, or rows of file, line and change) in the sources of today, and
    those whose line no longer stands. Words that stand on several lines are tried on the line nearest to that of the row (file:line), on
    each where the row names none; likewise what stands several times on a line."""
    with open(path) as file:
        rows = [line.rstrip('\n').split('\t') for line in file]
    told, lines, found = [], collections.defaultdict(list), {}
    for row in rows:
        if len(row) > 5 and row[1] != 'alive':
            continue
        (name, _, line), line_and_change = (row[3] if len(row) > 5 else row[0]).partition(':'), row[4:6] if len(row) > 5 else row[1:3]
        told.append((name, *line_and_change))
        lines[told[-1]] += [int(line)] if line else []
    for way in (-1, 1):  # a last digit goes up or down
        one_way = type('', (), {'choice': staticmethod(lambda ways: way)})
        for file in files:
            if any(row[0] == file for row in told):
                found.update(((m.file, m.at, m.end, m.new), m) for m in mutants_of(file, one_way, words) if m.told in told)
    stands = collections.defaultdict(set)
    for m in found.values():
        stands[m.told].add(m.line)
    nearest = {t: {min(stands[t], key=lambda at: abs(at - line)) for line in lines[t]} or stands[t] for t in stands}
    drawn = sorted((m for m in found.values() if m.line in nearest[m.told]), key=lambda m: (told.index(m.told), m.at))
    return drawn, [row for row in told if row not in {m.told for m in drawn}]


def part_of(m):
    return os.path.dirname(m.file)
