#!/bin/sh
# The box against the plan: the one lens of the theatre card passes, all else stops; no word of a code is ever printed.
program=${BUILD:-build}/iolrevise
site=examples/site.json
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
bad() { echo "FAILED box: $1"; failed=1; }

# says WORD EXIT CODE [ARGUMENT...]
says() {
    word=$1 exit=$2 code=$3
    shift 3
    $program box "$code" --site $site "$@" >"$work/out" 2>"$work/err"
    found=$?
    [ "$found" = "$exit" ] && [ "$(head -1 "$work/out")" = "$word" ] && [ "$(wc -l <"$work/out")" = 3 ] ||
        { bad "$code: exit $found, wanted $exit $word"; cat "$work/out" "$work/err"; }
    ! grep -qE 'LOT7|SER9' "$work/out" "$work/err" || bad "$code: its lot or serial number is printed"
}
code_of() { printf ']d201%s17%s10LOT7{GS}21SER9' "$1" "${2:-290531}"; }

# Every example: the number on its card is the chosen lens, any other of the stock is not.
numbers=$(sed -n 's/.*"gtin": "\([0-9]*\)".*/\1/p' $site)
cards=0
for case in examples/*.json; do
    [ "$case" != $site ] && $program plan "$case" --site $site -f json -o "$work/plan.json" 2>/dev/null || continue
    $program plan "$case" --site $site --only theatre >"$work/card"
    grep -q '"as_of": null' "$work/plan.json" && day="--as-of 2026-01-01" || day=
    card=$(sed -n 's/^BOX    product number \([0-9]*\):.*/\1/p' "$work/card")
    tried=0
    for number in $numbers; do
        [ "$number" = "$card" ] && continue
        [ -n "$card" ] || [ $((tried += 1)) -le 2 ] || continue
        $program box "$(code_of "$number")" --site $site --plan "$work/plan.json" $day >"$work/out"
        [ $? = 5 ] || { bad "$case takes $number, which is not on its card"; cat "$work/out"; }
        ! grep -q 'This is the chosen lens' "$work/out" || bad "$case: $number is called chosen"
    done
    [ -z "$card" ] && continue
    cards=$((cards + 1))
    word=CHOSEN exit=0
    grep -q 'REPEAT BEFORE ORDERING' "$work/card" && word=REPEAT exit=5
    says $word $exit "$(code_of "$card")" --plan "$work/plan.json" $day
done
[ "$cards" -ge 2 ] || bad "only $cards cards of the examples bear a product number"

$program plan examples/hyperopic-surprise.json --site $site -f json -o "$work/plan.json"
plan="--plan $work/plan.json"
chosen=02000000000077
says CHOSEN 0 "$(code_of $chosen)" $plan
grep -q ' Expires 2029-05-31 (day ' "$work/out" || bad "the day of expiry is not told"
grep -q '^+23.00 D toric-1p, cylinder +1.50 D; RIGHT eye, case ORR-001$' "$work/out" || bad "the second line"
says CHOSEN 0 "$(code_of $chosen 251030)" $plan # its last day
says STOP 5 "$(code_of $chosen 251029)" $plan
grep -q 'expired on 2025-10-29' "$work/out" || bad "an expired box is not called so"
says STOP 5 "$(code_of $chosen 251030)" $plan --as-of 2025-10-31
says OTHER 5 "$(code_of 02000000000084)" $plan
says OTHER 5 "$(code_of 02000000000121)" $plan # a lens for the sclera
says STOP 5 "$(code_of 02000000000046)" $plan  # of another class
grep -q 'not on this plan' "$work/out" || bad "a lens that is not on the plan"
says STOP 5 "$(code_of 02000000000145)" $plan # not in the stock
says STOP 5 "01$chosen" $plan
grep -q 'no expiry' "$work/out" || bad "a code without expiry"
says STOP 5 "01${chosen}10LOT717290531" $plan
grep -q 'FNC1' "$work/out" || bad "a separator that is dropped"
says STOP 5 "https://example.org/01/$chosen/10/LOT7" $plan
grep -q 'web address' "$work/out" || bad "a web address is not named"
says STOP 5 "+A99LOT7" $plan
grep -q 'Health Industry Bar Code' "$work/out" || bad "another system is not named"
says KNOWN 0 "$(code_of 02000000000015)" --as-of 2026-01-01
says STOP 5 "$(code_of 02000000000015 250101)" --as-of 2026-01-01
$program plan examples/dislocation.json --site $site -f json --set red_flags.none=null --set red_flags.pain=true -o "$work/stop.json"
says STOP 5 "$(code_of $chosen)" --plan "$work/stop.json" --as-of 2026-10-30
grep -q 'a stop stands' "$work/out" || bad "a plan with a stop"
code_of $chosen | $program box - --site $site $plan >"$work/out" || bad "a code from standard input"

{ code_of $chosen && printf '\000more'; } | $program box - --site $site $plan >"$work/out" 2>"$work/err"
[ $? = 2 ] && [ ! -s "$work/out" ] || bad "a code with a byte of 0"

# What is wrong with the call.
called() { # EXIT, then arguments
    exit=$1
    shift
    $program box "$@" >"$work/out" 2>"$work/err" </dev/null
    found=$?
    [ "$found" = "$exit" ] && [ ! -s "$work/out" ] && [ -s "$work/err" ] || bad "box $*: exit $found, wanted $exit"
    ! grep -qE 'LOT7|SER9' "$work/err" || bad "$*: a code is quoted"
}
called 2 "$(code_of $chosen)"
called 2 "$(code_of $chosen)" --site $site
called 2 "$(code_of $chosen)" "$(code_of $chosen)" --site $site --as-of 2026-01-01
called 3 - --site $site --as-of 2026-01-01
called 3 "$(code_of $chosen)" --site $site --plan "$work/absent.json"
called 1 "$(code_of $chosen)" --site $site --plan examples/minimal.json
for format in 0 2 '"1"' null; do # a plan of another format is no plan
    sed "s/\"plan_format\": 1/\"plan_format\": $format/" "$work/plan.json" >"$work/other-format.json"
    called 1 "$(code_of $chosen)" --site $site --plan "$work/other-format.json"
done
called 2 "$(code_of $chosen)" --site $site --plan "$work/plan.json" --as-of 2025-10-29 # expiry judged by a day that is over
grep -q 'not before that of the plan' "$work/err" || bad "a day before the plan"
called 2 "$(printf 'LOT7%02200d' 0)" --site $site --as-of 2026-01-01

# A stock that cannot be right.
stock() {
    printf '{"site_format": 1, "lenses": [{"id": "a", "positions": ["bag"], "purpose": "replacement", "power_first_d": 10, "power_last_d": 30, "power_step_d": 0.5}], "stock": [%s]}' "$1" >"$work/site.json"
    ! $program check "$work/site.json" >"$work/out" 2>"$work/err" && grep -q "$2" "$work/err" || { bad "the stock $1"; cat "$work/err"; }
}
stock '{"gtin": "02000000000014", "lens_id": "a", "power_d": 20}' '/stock/0/gtin: bad-pattern'
stock '{"gtin": "02000000000015", "lens_id": "b", "power_d": 20}' '/stock/0/lens_id: contradiction'
stock '{"gtin": "02000000000015", "lens_id": "a"}' '/stock/0/power_d: missing'
stock '{"lens_id": "a", "power_d": 20}' '/stock/0/gtin: missing'
stock '{"gtin": "02000000000015", "power_d": 20}' '/stock/0/lens_id: missing'
stock '{"gtin": "02000000000015", "lens_id": "a", "power_d": 20, "cylinder_d": 1}' '/stock/0/power_is: missing'
stock '{"gtin": "02000000000015", "lens_id": "a", "power_d": 20}, {"gtin": "02000000000015", "lens_id": "a", "power_d": 21}' '/stock/1/gtin: contradiction'
[ "$failed" = 0 ] && echo "passed box"
exit "$failed"
