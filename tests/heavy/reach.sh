#!/bin/sh
# What every command asks of the system, seen from outside by strace: no network, no other program, no file opened for writing
# but in the folder of the output (or of another file that the command was told to write), nothing removed or renamed elsewhere.
if ! command -v strace >/dev/null || ! strace -o /dev/null true 2>/dev/null; then
    echo "SKIP reach: no strace that may trace"
    exit 0
fi
program=$(pwd)/${BUILD:-build}/iolrevise
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/out" "$work/in"
cp examples/*.json examples/past-cases.jsonl "$work/in"
cp tests/rows/fit_site.json tests/inputs/typing-mistakes.json "$work/in"
failed=0
runs=0
traced() { # arguments: run in the folder of inputs, all that it writes goes to ../out
    runs=$((runs + 1))
    (cd "$work/in" && exec strace -f -qq -y -o "$work/trace" -s 4096 "$program" "$@" </dev/null >/dev/null 2>&1)
    awk -v out="$work/out/" -v counts="$work/counts" -v told="$*" '
        { sub(/^[0-9]+ +/, ""); call = $0; sub(/\(.*/, "", call) }
        call == "execve" && started++ { print told ": runs a program: " $0; bad = 1; programs++ }
        call ~ /^(execveat|fork|vfork|ptrace|mount|chroot|setuid|kill|tkill|io_uring_setup)$/ { print told ": " $0; bad = 1 }
        call ~ /^(clone|clone3)$/ && !/CLONE_THREAD/ { print told ": a process of its own: " $0; bad = 1 }
        call ~ /^(socket|socketpair|connect|bind|listen|accept|accept4|send|sendto|sendmsg|recv|recvfrom|recvmsg)$/ {
            print told ": network: " $0; bad = 1; sockets++ }
        call ~ /^(open|openat|creat)$/ && (/O_WRONLY|O_RDWR|O_CREAT|O_TRUNC|O_APPEND|O_TMPFILE/ || call == "creat") {
            if ($0 !~ /O_DIRECTORY/ && index($0, "\"../out/") == 0 && index($0, "\"" out) == 0) { print told ": writes: " $0; bad = 1; elsewhere++ }
            wrote = 1
        }
        call ~ /^(unlink|unlinkat|rename|renameat|renameat2|mkdir|mkdirat|rmdir|link|linkat|symlink|symlinkat|truncate|chmod|chown|mknod|mknodat)$/ {
            rest = $0
            while (match(rest, /"[^"]*"/)) {
                path = substr(rest, RSTART + 1, RLENGTH - 2); rest = substr(rest, RSTART + RLENGTH)
                if (index(path, "../out/") != 1 && index(path, out) != 1) { print told ": touches: " $0; bad = 1 }
            }
        }
        { calls++ }
        END { print calls + 0, sockets + 0, programs + 0, elsewhere + 0 >counts
            if (!started) { print told ": no trace"; bad = 1 } exit bad }' "$work/trace" || failed=1
    cat "$work/counts" >>"$work/all"
}
for case in hyperopic-surprise toric-turned silicone-oil; do
    for format in text json html; do
        traced plan $case.json --site site.json --format $format
        traced plan $case.json --format $format --output ../out/plan.$format
    done
done
traced plan typing-mistakes.json
traced plan missing.json --output ../out/none
traced plan hyperopic-surprise.json --output ../out/no/such/folder
traced power --eye right --implanted 21.0 --refraction "+2.25 -0.75 x 80" --target -0.25 --k 43.50 --output ../out/power
traced check hyperopic-surprise.json site.json typing-mistakes.json
traced template power-error --output ../out/case.json
traced template site
traced schema plan --output ../out/schema.json
traced schema case-format
traced sources --format markdown --output ../out/sources.md
traced sources risk
for format in text json html csv jsonl; do
    traced recheck past-cases.jsonl --format $format --jobs 3 --output ../out/rows.$format
done
traced recheck past-cases.jsonl --format csv --summary ../out/summary.json --output ../out/rows.csv
traced recheck past-cases.jsonl --format json --partial ../out/partial
traced recheck --merge ../out/partial
traced recheck past-cases.jsonl --against ../out/rows.jsonl
traced recheck past-cases.jsonl --site fit_site.json --fit-site ../out/fitted.json
traced recheck .
traced --help
traced --version
traced nonsense
for f in plan.html rows.jsonl summary.json partial fitted.json; do
    [ -s "$work/out/$f" ] || { echo "FAILED reach: $f was not written"; failed=1; }
done
ls -A "$work/out" | grep -vE '^(plan\.(text|json|html)|power|case\.json|schema\.json|sources\.md|rows\.(text|json|html|csv|jsonl)|summary\.json|partial|fitted\.json)$' &&
    { echo "FAILED reach: something is left beside the output"; failed=1; }
table=docs/runs/reach.tsv
[ -e $table ] || printf 'date\tcommit\tstrace\truns\tcalls\tsockets\tprograms\twritten_elsewhere\n' >$table
printf '%s\t%s\t%s\t%s\t' "$(date -u +%F)" "$(git rev-parse --short HEAD)" "$(strace --version | sed -n '1s/.* //p')" $runs >>$table
awk '{ for (i = 1; i <= 4; i++) sum[i] += $i } END { printf "%d\t%d\t%d\t%d\n", sum[1], sum[2], sum[3], sum[4] }' "$work/all" >>$table
# The check can fail: an output elsewhere, and a program that starts another, are caught.
printf '#!/bin/sh\n/bin/true\n' >"$work/other"
chmod +x "$work/other"
before=$failed
traced plan minimal.json --output ../elsewhere >"$work/elsewhere.caught"
program=$work/other
traced >"$work/other.caught"
failed=$before
for caught in elsewhere other; do
    [ -s "$work/$caught.caught" ] || { echo "FAILED reach: $caught is not noticed"; failed=1; }
done
[ "$failed" = 0 ] && echo "passed reach: $((runs - 2)) runs, no network, no other program, no file written but the output"
exit "$failed"
