#!/bin/sh
# House rules that a compiler does not check. Prints each breach; exit 1 when there is one.
build=${BUILD:-build}
bad=0
say() { echo "lint: $1"; bad=1; }

# One file includes cJSON; the core folders are pure.
for f in $(grep -rl 'cJSON.h' src include); do
    [ "$f" = src/case/read.c ] || [ "$f" = src/cli/arena.c ] || say "$f includes cJSON"
done
for f in $(grep -lE '#include <(stdio|stdlib|time|locale|errno|unistd)\.h>' src/optics/* src/formulas/* src/eye/* src/estimate/* src/plan/* src/tables/* src/report/* src/write/*.c src/text/* 2>/dev/null); do
    say "$f reaches outside a pure folder"
done
grep -rnE '\b(sprintf|strcpy|strcat|atoi|atof|gets|strtok|system)\(' src include | grep -v 'strncat' && say "banned function"
# No writable data and no unexpected outside symbol in the core objects.
allowed='^(iol_.*|memcpy|memset|memmove|memcmp|strlen|strcmp|strncmp|strncpy|strncat|strchr|strspn|strcspn|strstr|sqrt|hypot|fabs|floor|fmod|remquo|sincos|sin|cos|tan|atan2|erfc|fmin|fmax|exp|log|pow|_GLOBAL_OFFSET_TABLE_|__stack_chk_fail|__(mem|str)[a-z]+_chk)$'
for o in $build/src/optics/*.o $build/src/formulas/*.o $build/src/eye/*.o $build/src/estimate/*.o $build/src/plan/*.o $build/src/tables/*.o; do
    objdump -h "$o" | awk '$2 ~ /^\.(data|bss|tdata|tbss)$/ && $3 != "00000000" { exit 1 }' || say "$o holds writable data"
    for s in $(nm -u "$o" | awk '{print $2}' | grep -vE "$allowed"); do say "$o uses $s"; done
done
# The page that says which test holds a number names tests and files that there are.
for t in $(grep -oE '`test_[a-z_0-9]+`' docs/reliability.md | tr -d '`' | sort -u); do
    [ -e "tests/unit/$t.c" ] || say "docs/reliability.md names $t, which is not there"
done
for f in $(grep -oE '`(src|data|tests)/[a-z_/0-9]+\.[a-z]+`' docs/reliability.md | tr -d '`' | sort -u); do
    [ -e "$f" ] || say "docs/reliability.md names $f, which is not there"
done
# Size ratchets: functions and files.
for f in src/*/*.c; do
    [ "$(wc -l <"$f")" -le 400 ] || say "$f is longer than 400 lines"
    awk -v f="$f" '/^[a-z].*\) \{$/ { start = NR } /^}$/ { if (start && NR - start > 60) { print "lint: " f ":" start " a function longer than 60 lines"; bad = 1 } start = 0 } END { exit bad }' "$f" || bad=1
done
awk 'length > 132 { print "lint: " FILENAME ":" FNR " longer than 132 columns"; bad = 1 } END { exit bad }' src/*/*.[ch] include/*/*.h tests/*/*.[ch] || bad=1
# One statement on one line stands without braces.
awk 'FNR == 1 { opened = closed = 0 }
    closed { if (!/^ *} else/ && /^ *}$/) { print "lint: " FILENAME ":" FNR - 1 " braces around one short statement"; bad = 1 } closed = 0 }
    opened { closed = /^[^{}]*;$/; opened = 0 }
    /^ *(if|for|while) \(.*\) \{$/ { opened = 1 } END { exit bad }' src/*/*.[ch] tests/*/*.[ch] || bad=1
# Clinical numbers live in data/: no decimal literal in the planning folders but a few that are arithmetic.
for f in src/eye/*.c src/estimate/*.c src/plan/*.c; do
    sed 's,/\*.*\*/,,; s,^ *\(/\*\| \*\).*,,; s,"[^"]*",,g' "$f" | grep -nE '(^|[^A-Za-z_0-9.])[0-9]+\.[0-9]+' |
        grep -vE '\b(0\.0|1\.0|2\.0|0\.5|4\.0|8\.0|100\.0|1000\.0|90\.0|180\.0|360\.0|30\.0|1e-[0-9]+)\b' | sed "s,^,lint: $f: a number outside data: ," | grep . && bad=1
done
# Every fact is read by a rule or a part; where it is made does not count.
for name in $(sed -n 's/^\(FLAG\|BOOL\|NUM \|WORD\|CODE\|TEXT\)(\([a-z0-9_]*\),.*/\2/p' data/facts.def); do
    grep -qE "(f->|facts\.)$name\b" data/*.def && continue
    sed -E 's/(f->|facts\.)[a-z0-9_]+ =([^=]|$)//' src/plan/*.c src/recheck/*.c | grep -qE "(f->|facts\.)$name\b" || say "fact $name is read by nothing"
done
# A row of rules is read by people: at most 160 columns, the sentence on a line of its own.
for f in option_rules counselling decision_rules decision_advice missing_tests remarks risk_factors rungs theatre_items standing_rules; do
    awk -v f=$f 'length > 160 { print "lint: data/" f ".def:" FNR " longer than 160 columns"; bad = 1 } END { exit bad }' data/$f.def || bad=1
done
# Arrows between the folders go down only (the order is told in DEVELOPERS.md).
nm -A $build/src/*/*.o >"$build/names" 2>/dev/null
order='text tables optics case formulas eye estimate plan write report intake host recheck cli'
awk -v order="$order" -f tests/runs/arrows.awk "$build/names" "$build/names" | sed 's/^/lint: /' | grep . && bad=1
# Tables: no row that nothing uses, no number inside a condition.
python3 -B tests/runs/lint_tables.py >"$build/breaches" || say "lint_tables.py does not run"
sed 's/^/lint: /' "$build/breaches" | grep . && bad=1
# No machine path and no trailing blanks.
git grep -nE '/(home|root|work|tmp)/' -- . ':!tests/runs/lint.sh' ':!.ci' && say "a machine path"
git grep -nE '[ 	]+$' -- '*.c' '*.h' '*.def' '*.sh' '*.md' Makefile && say "trailing blanks"
# Every public function says what it takes, in which unit, what it gives, how it fails, and where it is tested.
awk -v lint=1 -f tests/tools/api.awk include/iolrevise/*.h | sed 's/^/lint: /' | grep . && bad=1
[ "$bad" = 0 ] && echo "lint: clean"
exit $bad
