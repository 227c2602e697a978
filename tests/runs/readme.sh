#!/bin/sh
# Runs every shell block of README.md and docs/*.md in a scratch folder, except those that install packages. A block after the
# line "<!-- refused -->" must exit 1; all others must exit 0.
top=$(pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
for page in README.md docs/*.md; do
    awk -v dir="$work" '
        /^<!-- refused -->$/ { refused = 1 }
        /^```sh$/ { inside = 1; n++; file = dir "/" n (refused ? ".refused" : ".good"); refused = 0; next }
        /^```$/ { if (inside) close(file); inside = 0; next }
        inside { print > file }' "$page"
    for block in $(ls "$work" | grep -E '^[0-9]+\.(good|refused)$' | sort -n); do
        grep -qE 'apt-get|^# needs ' "$work/$block" || {
            mkdir "$work/run"
            ln -s "$top/${BUILD:-build}" "$work/run/build"
            for f in examples docs data tests; do ln -s "$top/$f" "$work/run/$f"; done
            cp examples/site.json "$work/run/site.json"
            (cd "$work/run" && sh -e "../$block") >"$work/log" 2>&1
            got=$?
            want=0
            [ "${block%.refused}" = "$block" ] || want=1
            [ "$got" = "$want" ] || { echo "FAILED block ${block%.*} of $page: exit $got, wanted $want"; tail -5 "$work/log"; failed=1; }
            rm -rf "$work/run"
        }
        rm -f "$work/$block"
    done
done
[ "$failed" = 0 ] && echo "passed page blocks"
exit "$failed"
