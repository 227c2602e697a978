#!/bin/sh
# A table of rules touched rebuilds at most a third of the objects: counted in what the compiler wrote down of each object,
# and for the widest table as make itself says. A table that every folder reads shows that the count can fail.
build=${BUILD:-build}
unset MAKEFLAGS MAKELEVEL MFLAGS
rules='acts assumptions cautions counselling decision_advice decision_rules facts headlines missing_tests needs option_rules patient
       questions reasons remarks removal_rules risk_factors rungs standing_rules suspects theatre_items'
# An object whose source is gone stays in a build folder until it is cleaned: it is not counted.
there=$(for d in "$build"/src/*/*.d; do c=${d#"$build"/}; [ ! -e "${c%.d}.c" ] || echo "$d"; done)
objects() { cat $there | awk -v want="$1" '/^[^ ].*:/ { if (/\.o:/) seen = 0 } { for (i = 1; i <= NF; i++) if ($i == want && !seen) { seen = 1; n++ } } END { print n + 0 }'; }
remade() { ${MAKE:-make} -n -W "$1" V=1 BUILD="$build" "$build/libiolrevise.a" 2>/dev/null | grep -cE -- " -c -o $build/src/.*\.o "; }
all=$(echo "$there" | wc -l)
failed=0 widest=0
for table in $rules; do
    n=$(objects "data/$table.def")
    [ "$n" -gt 0 ] || { echo "FAILED rebuild: nothing reads data/$table.def"; failed=1; }
    [ $((3 * n)) -le "$all" ] || { echo "FAILED rebuild: data/$table.def rebuilds $n of $all objects"; failed=1; }
    [ "$n" -gt "$widest" ] && widest=$n name=data/$table.def
done
n=$(remade "$name")
cli=$(cat $(echo "$there" | grep /src/cli/) | tr ' ' '\n' | grep -cx "$name")
[ $((n + cli)) = "$widest" ] || { echo "FAILED rebuild: make rebuilds $n objects for $name, counted were $widest"; failed=1; }
[ $((3 * $(objects data/references.def))) -gt "$all" ] || { echo "FAILED rebuild: the count cannot fail"; failed=1; }
[ "$failed" = 0 ] && echo "passed rebuild: $widest of $all objects for $name, the widest table of rules"
exit "$failed"
