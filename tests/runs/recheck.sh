#!/bin/sh
# Whole runs of `recheck`: jobs, parts, odd inputs, the summary from its csv, changes, fitting.
check=recheck
. tests/runs/begin.inc

"$generate" 1500 3 >good.jsonl
"$generate" 1500 3 | cmp -s - good.jsonl || fail "the generator is seeded"
mkdir x.json
{
    head -300 good.jsonl
    printf '\n\n{"case_format":1,"case_ref":"BAD-1"}\n'
    printf 'not json\r\n'
    head -c 70000 /dev/zero | tr '\0' 'x'; echo
    printf '{"case_format":1,"case_ref":"NUL\000"}\n'
    sed -n 301,600p good.jsonl
    head -c 10485760 /dev/zero | tr '\0' 'y'; echo
    tail -n +601 good.jsonl
    printf '{"case_format":1,"case_ref":"no-end-of-line","eye":"left","reason":"power-error"}'
} >mixed.jsonl
head -1 good.jsonl >x.json/a.json
head -2 good.jsonl >x.json/b.jsonl
echo 'not a case file' >x.json/c.txt

# ---- the same bytes from any number of jobs, standard error included ----
for format in csv jsonl json text html; do
    for jobs in 1 2 7; do
        "$program" recheck mixed.jsonl x.json missing.jsonl good.jsonl --format $format --jobs $jobs >$jobs.out 2>$jobs.err
        echo $? >>$jobs.err
    done
    for jobs in 2 7; do
        cmp -s 1.out $jobs.out || fail "$format differs at $jobs jobs"
        cmp -s 1.err $jobs.err || fail "standard error differs at $jobs jobs"
    done
done
[ "$(tail -1 1.err)" = 3 ] || fail "a missing input exits 3"
[ "$(grep -c 'too-long' 1.err)" = 2 ] || fail "two lines are too long"
grep -q '^iolrevise: mixed.jsonl:305: .*too-long: found 70000, wanted' 1.err || fail "the line of a long line"
grep -q '^iolrevise: cannot open missing.jsonl' 1.err || fail "a missing input is named"

# ---- an input that is not read: no file is replaced; standard output and a pipe get the rest ----
for file in rows counts beside; do echo keep >$file; done
stays() { # arguments...
    status 3 "$program" recheck few.jsonl missing.jsonl "$@"
    [ "$(cat rows counts beside | tr -d '\n')" = keepkeepkeep ] || fail "a file is replaced: $*"
}
head -5 good.jsonl >few.jsonl
"$program" recheck few.jsonl --format jsonl >rows.old
stays --format csv --output rows
stays --format csv --summary beside
grep -q PAST-000001 out || fail "standard output gets the rest"
status 3 "$program" recheck few.jsonl missing.jsonl --format csv
tail -1 out | grep -q '^few.jsonl,5,' || fail "rows on standard output are followed by a summary"
stays --partial counts
stays --format json --output rows --partial counts
stays --against rows.old --output rows
stays --against rows.old
[ "$(tail -1 out)" = '5 cases: 0 changed, 0 new, 0 gone, 0 twice' ] || fail "standard output tells of the rest"
"$program" recheck few.jsonl --format csv --output rows --summary beside --partial counts
grep -q keep rows counts beside && fail "a file is not replaced"

"$program" recheck x.json --format jsonl >x.out && [ "$(wc -l <x.out)" = 3 ] || fail "a folder gives its .json and .jsonl"

# ---- N lines are N runs of one ----
head -40 mixed.jsonl | grep -v '^$' >few.jsonl
"$program" recheck few.jsonl --format csv | cut -d, -f3- >all.csv
: >single.csv
while IFS= read -r line; do
    printf '%s\n' "$line" | "$program" recheck --format csv | tail -n +2 | cut -d, -f3- >>single.csv
done <few.jsonl
tail -n +2 all.csv | cmp -s - single.csv || fail "N lines are not N runs of one"
"$program" recheck mixed.jsonl --format jsonl 2>/dev/null | wc -l >lines
[ "$(cat lines)" = 1506 ] || fail "an object a record, refused ones too: $(cat lines)"

# ---- a file that shrinks while it is read ends where it ends ----
cp good.jsonl shrinking.jsonl
{ "$program" recheck shrinking.jsonl --format csv >shrunk.csv 2>shrunk.err; echo $? >shrunk.status; } &
: >shrinking.jsonl
wait
grep -qx '[013]' shrunk.status || fail "a file that shrinks: exit $(cat shrunk.status)"
[ "$(head -c 6 shrunk.csv)" = "input," ] || fail "a file that shrinks: no header"

# ---- seven parts in three orders are one run ----
split -n l/7 -d good.jsonl part.
for p in part.0?; do
    "$program" recheck "$p" --format json --partial "$p.counts" >/dev/null || fail "a part"
done
"$program" recheck part.0? --format json >one.json
set -- part.0?.counts
"$program" recheck --merge "$@" --format json >m1.json
"$program" recheck --merge "$7" "$6" "$5" "$4" "$3" "$2" "$1" --format json >m2.json
"$program" recheck --merge "$4" "$1" "$7" "$2" "$6" "$3" "$5" --format json >m3.json
for m in m1 m2 m3; do cmp -s one.json $m.json || fail "$m is not the summary of one run"; done
"$program" recheck --merge "$@" >m.txt && "$program" recheck part.0? | cmp -s - m.txt || fail "merged text"
status 1 "$program" recheck --merge "$1" "$2" "$1"
grep -q 'another part' err || fail "the same input twice is not named"
for p in "$@"; do
    python3 - "$p" <<'END' || fail "the digests of $p do not rise"
import json, sys
least = [line for part in map(json.loads, open(sys.argv[1])) if isinstance(part, dict) for line in part.get("least", [])]
sys.exit(least != sorted(set(least)) or len(least) < 2)
END
done
sed '$d' "$2" >cut.counts
status 1 "$program" recheck --merge "$1" cut.counts
sed 's/"steps":\[\[[-0-9]*,/"steps":[[13,/' "$2" >odd.counts
cmp -s "$2" odd.counts && fail "no step in a part"
status 1 "$program" recheck --merge "$1" odd.counts
sed 's/"tallies":\[\[[0-9]*,/"tallies":[[-1,/g' "$2" >odd.counts
cmp -s "$2" odd.counts && fail "no tally in a part"
status 1 "$program" recheck --merge "$1" odd.counts
"$program" recheck part.03 --format json --as-of 2026-01-01 --partial other.counts >/dev/null
status 1 "$program" recheck --merge "$1" other.counts
echo '{"site_format":1,"habits":{"vertex_mm":12}}' >twelve.json
printf '{ "site_format": 1,\n "//": "the same", "habits": {"vertex_mm": 12.0} }' >same.json
echo '{"site_format":1,"habits":{"vertex_mm":13}}' >thirteen.json
for site in twelve same thirteen; do
    "$program" recheck part.0$([ $site = twelve ] && echo 1 || echo 2) --site $site.json --partial $site.counts >/dev/null
done
status 0 "$program" recheck --merge twelve.counts same.counts
status 1 "$program" recheck --merge twelve.counts thirteen.counts
grep -q 'other settings' err || fail "another site is not named"
status 2 "$program" recheck --merge "$1" --format csv
status 1 "$program" recheck --merge good.jsonl

# ---- --summary beside the rows is the summary ----
"$program" recheck part.0? --format csv --summary beside.json >rows.csv
cmp -s one.json beside.json || fail "--summary is not the summary"
status 2 "$program" recheck good.jsonl --summary s.json
status 2 "$program" recheck good.jsonl --jobs 0
status 2 "$program" recheck good.jsonl --format pdf

# ---- the support score against what happened, in one run and in parts; alarms that are open ----
sed 's/"operation":"exchange"/&,"anterior_vitrectomy":false/;n;s/"operation":"exchange"/&,"anterior_vitrectomy":true/' good.jsonl >lost.jsonl
"$program" recheck lost.jsonl --format jsonl --summary lost.json >lost.rows
for tier in routine guarded high very-high; do
    n=$(grep -c "\"tier\":\"$tier\",\"anterior_vitrectomy\":[tf]" lost.rows)
    lost=$(grep -c "\"tier\":\"$tier\",\"anterior_vitrectomy\":true" lost.rows)
    told=$(awk -v t="\"$tier\"," '$1 == "\"tier\":" && $2 == t { on = 1 } on && $1 == "\"n\":" { printf "%d ", $2 }
        on && $1 == "\"vitrectomies\":" { printf "%d", $2; exit }' lost.json)
    [ "$n" = 0 ] || [ "$told" = "$n $lost" ] || fail "support score, $tier: $told, wanted $n $lost"
done
[ "$(grep -c '"share_low"' lost.json)" -gt 0 ] || fail "no tier stands in the summary"
split -n l/3 -d lost.jsonl lost.part.
for p in lost.part.0?; do "$program" recheck "$p" --format json --partial "$p.counts" >/dev/null; done
"$program" recheck --merge lost.part.0?.counts --format json | cmp -s - lost.json || fail "the support score of parts"
"$program" recheck good.jsonl --format jsonl | grep -q '"alarms_open":5' || fail "open alarms are not counted"

# ---- csv: RFC 4180, no cell that starts a formula ----
cp good.jsonl '=1+1,"x".jsonl'
"$program" recheck './=1+1,"x".jsonl' --format csv >odd1.csv
"$program" recheck -- '=1+1,"x".jsonl' --format csv >/dev/null 2>&1
head -2 odd1.csv | tail -1 | grep -q '^"./=1+1,""x"".jsonl",1,' || fail "a name with comma and quotation marks"
rm ./=1+1*
if grep -qE '(^|,)[=+@]' rows.csv; then fail "a cell that starts a formula"; fi
grep -vc "^$(head -1 rows.csv | tr -d '\n' | sed 's/[^,]//g' | sed 's/./[^,]*,/g')[^,]*$" rows.csv >columns
[ "$(cat columns)" = 0 ] || fail "rows of another number of columns"

# ---- what the csv says, counted again by other code ----
if command -v python3 >/dev/null; then
    python3 "$top/tests/runs/recheck_check.py" rows.csv beside.json || fail "the summary does not follow from the csv"
else
    skip recheck-python "no python3"
fi

# ---- changes ----
"$program" recheck good.jsonl --format jsonl >old.jsonl
status 0 "$program" recheck good.jsonl --against old.jsonl --fail-on-change
grep -qx '1500 cases: 0 changed, 0 new, 0 gone, 0 twice' out || fail "nothing changed"
{ tail -n +3 good.jsonl; tail -1 good.jsonl; } | sed '5s/"sphere_d":0.25/"sphere_d":2.25/;7s/PAST-/FRESH-/' >now.jsonl
status 5 "$program" recheck now.jsonl --against old.jsonl --fail-on-change
tail -1 out | grep -qx '1499 cases: 1 changed, 1 new, 3 gone, 1 twice' || fail "changes: $(tail -1 out)"
cp out first
head -40 good.jsonl >one.jsonl
"$program" recheck one.jsonl --format jsonl >was.jsonl
sed '7s/"sphere_d":0.25/"sphere_d":2.25/' one.jsonl >is.jsonl
status 5 "$program" recheck is.jsonl --against was.jsonl --fail-on-change
tail -1 out | grep -qx '40 cases: 1 changed, 0 new, 0 gone, 0 twice' || fail "one change: $(tail -1 out)"
status 0 "$program" recheck now.jsonl --against old.jsonl --jobs 7
cmp -s out first || fail "changes differ at 7 jobs"
status 0 "$program" recheck now.jsonl --against old.jsonl --format csv
[ "$(wc -l <out)" = 7 ] || fail "changes as csv"
status 0 "$program" recheck now.jsonl --against old.jsonl --format jsonl
[ "$(wc -l <out)" = 6 ] || fail "changes as jsonl"
status 1 "$program" recheck now.jsonl --against rows.csv
sed '1s/"case_ref":"[^"]*"/"case_ref":"=1+1"/' old.jsonl >hostile.jsonl
echo keep >kept
status 1 "$program" recheck now.jsonl --against hostile.jsonl --format csv --output kept
[ "$(cat kept)" = keep ] || fail "the old file survives an OLD.jsonl that is refused"
sed '1s/"case_ref":"[^"]*"/"case_ref":"\\u001b[2J"/' old.jsonl >hostile.jsonl
status 1 "$program" recheck now.jsonl --against hostile.jsonl
[ ! -s out ] || fail "a reference that no case may have is printed"
status 2 "$program" recheck good.jsonl --fail-on-change

# ---- fitting, and that it holds on cases that were not used ----
cp "$top/tests/rows/fit_site.json" site.json
"$generate" 1500 11 shelf >fit.jsonl
"$generate" 1500 12 shelf >fresh.jsonl
status 0 "$program" recheck fit.jsonl --site site.json --fit-site fitted.json
grep -q '^constants of bag-119, as position: +0\.4' out || fail "the constant that was 0.8 too low: $(head -1 out)"
grep -Eq '^constants of bag-119, as position: \+[0-9.]{5} mm \(95 % \+[0-9]\.[0-9]{3} to \+[0-9]\.[0-9]{3}\), [0-9]+ eyes$' out ||
    fail "three decimals, and the interval: $(head -1 out)"
grep -q '^front of the lens to its optical position: not fitted' out || fail "no depth was measured"
"$program" recheck fresh.jsonl --site site.json --format json >before.json
"$program" recheck fresh.jsonl --site fitted.json --format json >after.json
mae() { awk -F': ' '/"mae_d"/ { sub(",", "", $2); print $2 * 1000; exit }' "$1"; }
[ "$(mae after.json)" -lt "$(mae before.json)" ] || fail "the fitted site does not hold better on fresh cases"
held=$(awk -F': ' '/"held_80"/ { sub(",", "", $2); print int($2 * 100); exit }' after.json)
[ "$held" -ge 76 ] && [ "$held" -le 84 ] || fail "80 % intervals of the fitted site held $held %"
head -20 fit.jsonl >twenty.jsonl
status 0 "$program" recheck twenty.jsonl --site site.json --fit-site nothing.json
if grep -v 'not fitted' out | grep -q 'eyes$'; then fail "a fit to fewer than 30 eyes"; fi
status 2 "$program" recheck fit.jsonl --fit-site x.json

# ---- two site files side by side; the site's constants in place of a case's own ----
"$generate" 400 5 shelf >shelf.jsonl
sed 's/"a_constant":118.7/"a_constant":119.5/' site.json >moved.json
status 0 "$program" recheck --compare site.json moved.json shelf.jsonl --format json
cp out compared.json
for side in a b; do
    [ $side = a ] && file=site.json || file=moved.json
    "$program" recheck shelf.jsonl --site $file --format csv --summary $side.json >$side.csv
    for key in mae mean; do
        long=$key; [ $key = mean ] && long=mean_error
        [ "$(grep -m1 "\"${key}_${side}_d\"" compared.json | sed 's/.*: //')" = "$(grep -m1 "\"${long}_d\"" $side.json | sed 's/.*: //')" ] ||
            fail "--compare: $key of $side is not that of a run"
    done
done
if command -v python3 >/dev/null; then
    python3 - <<'END' || fail "--compare does not follow from two csv"
import csv, json, sys
def errors(name):
    return {r["line"]: abs(round(float(r["error_d"]) * 1000)) for r in csv.DictReader(open(name))
            if r["method"] == "joint" and r["reference"] == "true" and r["counted"] == "true"}
a, b = errors("a.csv"), errors("b.csv")
whole = json.load(open("compared.json"))
g = whole["groups"][0]
both = [(a[k], b[k]) for k in a if k in b]
want = {"n": len(both), "nearer_a": sum(x < y for x, y in both), "nearer_b": sum(x > y for x, y in both),
        "same": sum(x == y for x, y in both)}
for side, k in (("a", 0), ("b", 1)):
    want["within_half_" + side] = round(sum(e[k] <= 500 for e in both) / len(both), 4)
    want["within_one_" + side] = round(sum(e[k] <= 1000 for e in both) / len(both), 4)
bad = {k: (g[k], v) for k, v in want.items() if abs(g[k] - v) > 1.1e-4}
ranks, z = sorted(abs(x - y) for x, y in both if x != y), 0.0
mean = lambda d: sum(i + 1 for i, r in enumerate(ranks) if r == d) / ranks.count(d)
of = {d: mean(d) for d in set(ranks)}
plus, n = sum(of[abs(x - y)] for x, y in both if x > y), len(ranks)
z = (plus - n * (n + 1) / 4) / (sum(of[d] ** 2 for d in ranks) / 4) ** 0.5
if abs(z - g["wilcoxon_z"]) > 1e-3: bad["z"] = (g["wilcoxon_z"], z)
if whole["compared"] != len(both): bad["compared"] = (whole["compared"], len(both))
if g["nearer"] != "a": bad["nearer"] = g["nearer"]
print(bad, file=sys.stderr)
sys.exit(bool(bad))
END
fi
status 0 "$program" recheck --compare site.json moved.json shelf.jsonl --jobs 7 --format json
cmp -s compared.json out || fail "--compare differs at 7 jobs"
status 0 "$program" recheck --compare site.json site.json shelf.jsonl
grep -q 'No difference is shown' out || fail "the same file twice differs"
status 2 "$program" recheck --compare site.json
for other in "--site site.json" --merge "--against old.jsonl" "--site site.json --fit-site fitted" "--partial counted" \
    "--format csv --summary summed"; do
    status 2 "$program" recheck shelf.jsonl --compare site.json moved.json $other
    grep -q 'wanted --compare with --format text, json or html alone' err || fail "--compare beside $other: $(cat err)"
done
head -30 shelf.jsonl >few-apart.jsonl
status 0 "$program" recheck --compare site.json moved.json few-apart.jsonl --format json
grep -q '"wilcoxon_p": null' out && ! grep -q '"wilcoxon_p": [0-9]' out || fail "a chance of less than ten differences is told"
status 0 "$program" recheck few-apart.jsonl --compare site.json moved.json
status 2 "$program" plan "$case" --set nonsense
grep -q 'PATH=VALUE' err || fail "a change without a value: $(cat err)"
status 2 "$program" recheck --no-such=5 few-apart.jsonl
grep -q -e '--no-such' err && ! grep -q -e '=5' err || fail "an unknown option is not told by its name: $(cat err)"
status 2 "$program" recheck shelf.jsonl --compare site.json moved.json --format csv
status 2 "$program" recheck shelf.jsonl --compare site.json moved.json --output moved.json
sed 's/"lens_id":"bag-118"/&,"constants":{"a_constant":118.7}/' shelf.jsonl >own.jsonl
cmp -s own.jsonl shelf.jsonl && fail "no case has constants of its own"
own() { "$program" recheck own.jsonl "$@" --format json | awk -F': ' '/"own_constants"/ { print $2 + 0 }'; }
[ "$(own --site moved.json)" -gt 50 ] || fail "constants of cases are not counted"
[ "$(own --site moved.json --site-constants)" = 0 ] || fail "constants of cases do not give way"
"$program" recheck own.jsonl --site moved.json --site-constants --format csv | cut -d, -f2- >given.csv
"$program" recheck shelf.jsonl --site moved.json --format csv | cut -d, -f2- | cmp -s - given.csv || fail "--site-constants is not the site's"
status 2 "$program" recheck own.jsonl --site-constants
"$program" recheck own.jsonl --site moved.json --format json --partial p1 >/dev/null
"$program" recheck shelf.jsonl --site moved.json --site-constants --format json --partial p2 >/dev/null
status 1 "$program" recheck --merge p1 p2
grep -q 'other settings' err || fail "parts with and without --site-constants"

# ---- outputs that cannot be written, readers that leave ----
status 4 "$program" recheck good.jsonl --format csv --output /nowhere/x.csv
"$program" recheck good.jsonl --format csv 2>err | head -1 >/dev/null
[ -s err ] && fail "a closed pipe is not quiet"

# ---- recipes of docs/recheck.md ----
if command -v mlr >/dev/null; then
    printf 'case_ref,path,value\nS-1,case_format,1\nS-1,eye,right\nS-1,reason,power-error\n' >long.csv
    mlr --icsv --ocsv reshape -s path,value long.csv >sheet.csv || fail "Miller"
    "$program" recheck sheet.csv --format csv >out || fail "a spreadsheet by Miller"
    grep -q ',S-1,right,no-outcome,' out || fail "a spreadsheet by Miller: $(tail -1 out)"
else
    skip recipe-miller "no mlr"
fi
if command -v parallel >/dev/null && parallel --version 2>/dev/null | grep -q GNU; then
    parallel --will-cite "$program" recheck {} --format json --partial {}.gnu '>' /dev/null ::: part.0?
    "$program" recheck --merge part.0?.gnu --format json | cmp -s - one.json || fail "parts by GNU parallel"
else
    skip recipe-parallel "no GNU parallel"
fi
[ "$failed" = 0 ] && echo "passed recheck runs"
exit $failed
