#!/bin/sh
# Every rule of lint.sh fails on a file that breaks it.
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
git ls-files | tar -cf - -T - | tar -xf - -C "$work"
mkdir -p "$work/build/src/plan"
cd "$work" || exit 1
git init -q .
git add -A
failed=0
offends() { # what lint must say, file; its text on standard input
    cat >"$2"
    git add "$2"
    BUILD=build sh tests/runs/lint.sh >said 2>&1 && { echo "FAILED lint passes: $1"; failed=1; }
    grep -q "$1" said || { echo "FAILED lint does not say: $1"; failed=1; }
    git rm -qf "$2"
}
compiled() { # what lint must say; C on standard input
    cat >offends.c
    ${CC:-cc} -std=c11 -O2 -c offends.c -o build/src/plan/offends.o
    BUILD=build sh tests/runs/lint.sh >said 2>&1 && { echo "FAILED lint passes: $1"; failed=1; }
    grep -q "$1" said || { echo "FAILED lint does not say: $1"; failed=1; }
    rm -f offends.c build/src/plan/offends.o
}
echo 'int iol_good(int x); int iol_good(int x) { return x; }' >good.c
${CC:-cc} -std=c11 -c good.c -o build/src/plan/good.o
for folder in text optics formulas eye estimate tables; do mkdir -p build/src/$folder && cp build/src/plan/good.o build/src/$folder/; done
BUILD=build sh tests/runs/lint.sh >said 2>&1 || { cat said; echo "FAILED lint: not clean before anything offends"; exit 1; }
echo '#include "cJSON.h"' | offends 'cli/offends.c includes cJSON' src/cli/offends.c
echo '#include "cJSON.h"' | offends 'plan/offends.c includes cJSON' src/plan/offends.c
echo '#include <time.h>' | offends 'plan/offends.c reaches outside' src/plan/offends.c
echo 'void f(char *a) { strcpy(a, "b"); }' | offends 'banned function' src/cli/offends.c
echo 'int iol_count_of_calls = 1;' | compiled 'holds writable data'
echo 'int iol_f(void); static int n; int iol_f(void) { return n++; }' | compiled 'holds writable data'
echo 'void *malloc(unsigned long n); void *iol_f(void); void *iol_f(void) { return malloc(8); }' | compiled 'uses malloc'
echo 'long time(long *t); long iol_f(void); long iol_f(void) { return time(0); }' | compiled 'uses time'
awk 'BEGIN { for (i = 0; i < 401; i++) print "" }' | offends 'longer than 400 lines' src/cli/offends.c
awk 'BEGIN { print "int f(void) {"; for (i = 0; i < 61; i++) print "    ;"; print "}" }' |
    offends 'a function longer than 60 lines' src/cli/offends.c
awk 'BEGIN { for (i = 0; i < 133; i++) printf "x"; print "" }' | offends 'longer than 132 columns' src/cli/offends.c
printf 'void f(int a) {\n    if (a) {\n        a++;\n    }\n}\n' | offends 'braces around one short statement' src/cli/offends.c
echo 'static const double limit_d = 3.7;' | offends 'a number outside data' src/plan/offends.c
echo "see /ho""me/someone" | offends 'a machine path' docs/offends.md
printf 'IOL_PUBLIC_BEGIN\n\n/* Given: power_d (D).\n * Returned: D.\n * Tests: none. */\ndouble iol_f(double power_d);\n\nIOL_PUBLIC_END\n' |
    offends 'lacks Status' include/iolrevise/offends.h
printf 'IOL_PUBLIC_BEGIN\n\n/* Given: power_d.\n * Returned: x.\n * Status: none.\n * Tests: tests/no.c */\ndouble iol_f(double power_d);\n\nIOL_PUBLIC_END\n' |
    offends 'lacks unit(D) tests/no.c' include/iolrevise/offends.h
cp data/facts.def kept.def
echo 'FLAG(nobody_asks, "read by nothing")' >>data/facts.def
BUILD=build sh tests/runs/lint.sh >said 2>&1 && { echo "FAILED lint passes an unread fact"; failed=1; }
grep -q 'fact nobody_asks is read by nothing' said || { echo "FAILED lint does not say which fact is unread"; failed=1; }
mv kept.def data/facts.def
printf 'a line \n' | offends 'trailing blanks' docs/offends.md
added() { # what lint must say, file; a row for its end on standard input
    cp "$2" kept
    cat >>"$2"
    BUILD=build sh tests/runs/lint.sh >said 2>&1 && { echo "FAILED lint passes: $1"; failed=1; }
    grep -q "$1" said || { echo "FAILED lint does not say: $1"; failed=1; }
    mv kept "$2"
}
tables() { # the same of lint_tables.py alone: that lint.sh heeds it is shown once
    cp "$2" kept
    cat >changed
    cat changed >"$2"
    python3 -B tests/runs/lint_tables.py >said
    grep -q "$1" said || { echo "FAILED lint of tables does not say: $1"; failed=1; }
    mv kept "$2"
}
row() { cat "$2" - | tables "$1" "$2"; } # a row for its end on standard input
echo 'EVIDENCE(no_such_use, 1, NAN, NAN, d, judgement, judgement, "x")' | added 'no_such_use is quoted by nothing' data/evidence.def
echo 'REFERENCE(no_such_use, judgement, "x")' | row 'no_such_use is cited by nothing' data/references.def
echo 'CONSTANT(no_such_use, 1.0, d, judgement, judgement, "x")' | row 'no_such_use is read by nothing' data/constants.def
echo 'SPREAD(no_such_use, 1.0, d, judgement, judgement, "x")' | row 'no_such_use is read by nothing' data/spreads.def
echo '  FLAG(case, no_such_use, "x")' | row 'no_such_use is read by nothing' data/case_fields.def
echo 'CAUTION(no_such_use, "no-such-use", warn, judgement, "x")' | row 'no test names no_such_use' data/cautions.def
echo 'RULE(x, iol_above(f->age, 61.5), "x")' | row 'a number inside a condition: 61.5' data/decision_rules.def
awk 'BEGIN { printf "/* "; for (i = 0; i < 160; i++) printf "x"; print " */" }' | added 'longer than 160 columns' data/rungs.def
sed "s/^UNREAD = {/&'index_aqueous', /" tests/runs/lint_tables.py | tables 'index_aqueous is read: take it out of UNREAD' tests/runs/lint_tables.py
sed "s/^UNREAD = {/&'no_such_use', /" tests/runs/lint_tables.py | tables 'UNREAD holds no_such_use, which no table has' tests/runs/lint_tables.py
sed "s/^UNTESTED = set()/UNTESTED = {'licensed_surgeon'}/" tests/runs/lint_tables.py | tables 'licensed_surgeon is tested: take it out of UNTESTED' tests/runs/lint_tables.py
mkdir -p build/src/nowhere
cp build/src/plan/good.o build/src/nowhere/
BUILD=build sh tests/runs/lint.sh >said 2>&1 && { echo "FAILED lint passes a folder without a place"; failed=1; }
grep -q 'folder nowhere has no place in the order' said || { echo "FAILED lint does not say which folder has no place"; failed=1; }
rm -r build/src/nowhere
echo 'int iol_above_me(void); int iol_above_me(void) { return 1; }' >up.c
echo 'int iol_above_me(void); int iol_below_it(void); int iol_below_it(void) { return iol_above_me(); }' >down.c
mkdir -p build/src/cli
${CC:-cc} -std=c11 -c up.c -o build/src/cli/up.o && ${CC:-cc} -std=c11 -c down.c -o build/src/text/down.o
BUILD=build sh tests/runs/lint.sh >said 2>&1 && { echo "FAILED lint passes an arrow that goes up"; failed=1; }
grep -q 'uses iol_above_me of cli, which stands above text' said || { echo "FAILED lint does not say the arrow"; failed=1; }
[ "$failed" = 0 ] && echo "lint: every rule fails on what breaks it"
exit "$failed"
