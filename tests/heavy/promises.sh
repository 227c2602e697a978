#!/bin/sh
# What DEVELOPERS.md promises of adding things, tried in a throw-away copy: a formula, a risk factor, a standing rule, a caution and a
# case field, each in the places that the page names and no other. The copy must build, its own tests must see what is missing, and
# the program must know the new thing. Part of `make check-all`.
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
git ls-files | tar -cf - -T - | tar -xf - -C "$work"
cd "$work" || exit 1
failed=0
fail() { echo "FAILED promises: $1"; failed=1; }
make() { command make -s BUILD=build OPT="-O0" "$@" >said 2>&1; }

# ---- a formula: one row, one file ----
echo 'FORMULA(trial, "trial", pacd_mm, judgement, judgement, "a trial of how a formula is added")' >>data/formulas.def
cat >src/formulas/trial.c <<'C'
#include "formulas/formulas.h"
#include "tables/constants.h"

iol_status iol_trial_predict(const iol_formula_input *in, iol_model *model) {
    if (!iol_formula_begin(in, in->lens.pacd_mm, model)) return IOL_BAD_INPUT;
    iol_model found = {iol_cornea_of_radius(in->radius_mm, c_keratometric_index), in->axial_length_mm, in->lens.pacd_mm};
    return iol_formula_finish(found, IOL_OK, model);
}

double iol_trial_length_read(double model_length_mm) { return model_length_mm; }

double iol_trial_cornea_read(double model_cornea_d) { return model_cornea_d; }
C
# ---- a risk factor: one row, and rows of its test ----
echo 'JUDGED(trial, access, c->patient.trial, 9, judgement, "trial finding", "a trial")' >>data/risk_factors.def
# ---- a case field: one row, and its use ----
sed -i 's/^END(patient)$/  FLAG(patient, trial, "a trial field")\nEND(patient)/' data/case_fields.def
# ---- a standing rule: one row and its reason ----
echo 'STANDS(trial_rule, both, c->patient.trial, provisional, IOL_NOTE_COUNT, NAN, NAN, NULL)' >stands
awk '/advised/ && /^STANDS/ && !done { while ((getline line < "stands") > 0) print line; done = 1 } { print }' data/standing_rules.def >with &&
    mv with data/standing_rules.def
echo 'REASON(trial_rule, "trial-rule", judgement, "A trial stands against it.", "End the trial.")' >>data/reasons.def
# ---- a caution: one row, and where it is found ----
echo 'CAUTION(trial, "trial", warn, judgement, "A trial.")' >>data/cautions.def
sed -i 's/^static void general_notes(iol_work \*w) {$/&\n    if (w->c->patient.trial == IOL_YES) iol_caution(w, IOL_NOTE_trial, NAN, NAN, NULL);/' src/plan/plan.c

make build/iolrevise build/libiolrevise.a || { tail -20 said; fail "it does not build"; exit 1; }
python3 - <<'P'
import json
case = json.load(open('examples/hyperopic-surprise.json'))
case.setdefault('patient', {})['trial'] = True
case['formula'] = 'trial'
json.dump(case, open('case.json', 'w'))
P
build/iolrevise plan case.json --format json >plan.json 2>err || { cat err; fail "the case is refused"; }
grep -q '"trial-rule"' plan.json || fail "the standing rule does not fire"
grep -q '"code": *"trial"' plan.json || fail "the caution is not said"
python3 -c 'import json; print([f["state"] for f in json.load(open("plan.json"))["support"]["factors"] if f["id"] == "trial"])' >state
grep -q yes state || fail "the risk factor is not counted: $(cat state)"
build/iolrevise sources formulas | grep -q trial || fail "sources do not list the formula"
build/iolrevise schema case | grep -q '"trial"' || fail "the schema lacks the field"
build/iolrevise recheck examples/past-cases.jsonl --format json | grep -q '"trial"' || fail "recheck does not know the formula"

# ---- what the page says a test asks for ----
make run/test_support && fail "a risk factor without rows passes"
grep -q trial said || fail "the test of risk factors does not name what lacks rows"
printf 'RISK(trial, %s, c->patient.trial = %s)\n' yes IOL_YES no IOL_NO unknown IOL_UNKNOWN >>tests/rows/risk.def
make run/test_values && fail "a number without a written value passes"
grep -q 'risk_factors.trial' said || fail "the test of written values does not print the row that it lacks"
python3 -B tests/runs/lint_tables.py | grep -q 'no test names trial' || fail "lint passes a caution without a test"
make run/test_formulas && fail "a formula without outside rows passes"
grep -q trial said || { tail -8 said; fail "the tests of formulas do not name what lacks rows"; }
make run/test_standing || { tail -8 said; fail "test_standing"; }
[ "$failed" = 0 ] && echo "passed promises"
exit "$failed"
