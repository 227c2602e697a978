#!/bin/sh
# Import: what instruments measured comes into a case, the rest stays outside. The data sets of tests/inputs/dicom are what dcm2json made of
# tests/tools/dicom_samples.py; tests/heavy/dicom.sh makes them anew, and a validator of the standard finds no error in them.
program=${BUILD:-build}/iolrevise
site=examples/site.json
d=tests/inputs/dicom
failed=0
runs=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
bad() { echo "FAILED import: $1"; failed=1; }

# run EXIT ARGUMENT...: out and err
run() {
    want=$1
    runs=$((runs + 1))
    shift
    $program import "$@" >"$work/out" 2>"$work/err" </dev/null
    found=$?
    [ "$found" = "$want" ] || { bad "import $*: exit $found, wanted $want"; cat "$work/err"; }
    ! grep -q 'KEPT-OUT' "$work/out" "$work/err" || { bad "import $*: something of the person or the maker came through"; grep KEPT-OUT "$work/out" "$work/err"; }
}
# What the case must hold: all asked at the end, by one reader.
holds() { # PATH VALUE
    [ -e "$work/$runs.json" ] || cp "$work/out" "$work/$runs.json"
    printf '%s\t%s\t%s\n' "$runs" "$1" "$2" >>"$work/held"
}
says() { grep -qF -e "$1" "$work/err" || { bad "it does not say: $1"; cat "$work/err"; }; }
done_on="--set first_surgery.done_on=2025-09-15"

# A lens calculation before the operation: 32-bit values rounded, radii taken, the index shown by radii and dioptres.
run 0 $d/calculation.json --eye right $done_on --set first_surgery.lens.power_d=20.5
for row in axial_length_mm:23.25 k_flat_radius_mm:7.74 k_steep_radius_mm:7.61 k_steep_axis_deg:92 keratometric_index:1.3375 \
    chamber_depth_mm:3.12 lens_thickness_mm:4.52 white_to_white_mm:11.9 measured_on:'"2025-08-20"' k_flat_d:null method:null eye_state:null; do
    holds "/biometry/${row%%:*}" "${row#*:}"
done
holds /first_surgery/intended_se_d -0.25
holds /first_surgery/sheet_se_d -0.1
holds /first_surgery/lens/constants/a_constant 119.1
holds /first_surgery/lens/constants/haigis_a0_mm 0.61
holds /first_surgery/lens/identified_by null
holds /cornea/earlier_refractive_surgery '"none"'
holds /age_years null
grep -qF '"//lens_thickness_mm": "DICOM, lens calculation of 2025-08-20, entered by hand"' "$work/out" || bad "no origin beside a value"
says '/biometry/lens_thickness_mm: was entered by hand'
says 'still wanted: reason'
[ "$(grep -c '"//' "$work/out")" = 25 ] || bad "not an origin for each of 25 values"
# the reading that the sheet states: its day is not told, so none is written
holds /refraction_before_cataract/sphere_d 1
holds /refraction_before_cataract/cylinder_d -0.75
holds /refraction_before_cataract/axis_deg 180
holds /refraction_before_cataract/measured_on null
holds /refraction_before_cataract/method null
says '/refraction_before_cataract/sphere_d: was entered by hand'
# the other eye of the same sheet; what its lens is now no sheet of before the operation tells, and a depth of unknown kind is nobody's
for row in axial_length_mm:23.31 k_flat_radius_mm:7.72 k_steep_axis_deg:88 white_to_white_mm:11.8 measured_on:'"2025-08-20"' chamber_depth_mm:null \
    lens_thickness_mm:null; do
    holds "/fellow_eye/biometry/${row%%:*}" "${row#*:}"
done
holds /fellow_eye/lens null
holds /fellow_eye/refraction null
grep -qF '"//axial_length_mm": "DICOM, lens calculation of 2025-08-20, the other eye"' "$work/out" || bad "no origin of the other eye"
# a constant that the case has otherwise is told as it would be typed
run 1 $d/calculation.json --eye right $done_on --set first_surgery.lens.power_d=20.5 --set first_surgery.lens.constants.a_constant=118
says 'a_constant: contradiction: found 119.1, wanted 118, which the case holds already'
# without the power put in nothing of the sheet is of it
run 0 $d/calculation.json --eye right $done_on
holds /first_surgery/sheet_se_d null
holds /first_surgery/lens null
run 0 $d/calculation.json --eye right $done_on --set assessed_on=2025-10-30
holds /age_years 66
run 0 $d/calculation.json --eye right $done_on --set assessed_on=2027-10-30
holds /age_years null
run 0 $d/calculation.json --eye right --set first_surgery.done_on=2025-08-20
holds /biometry/axial_length_mm 23.25

# Before or after: by the day, else by the lens; without either it is asked for.
run 1 $d/calculation.json --eye right
says '/first_surgery/done_on: missing'
run 0 $d/axial-before.json --eye OD
holds /biometry/eye_state '"phakic"'
run 0 $d/axial-after.json --eye right
holds /biometry_repeat/eye_state '"pseudophakic"'
holds /biometry_repeat/method '"optical"'
holds /biometry_repeat/axial_length_mm 23.22
run 1 $d/axial-before.json --eye right --set first_surgery.done_on=2025-08-01
says 'phakic, measured after the first operation'
run 1 $d/axial-after.json --eye right --set first_surgery.done_on=2025-12-01
says 'pseudophakic, measured before the first operation'
run 1 $d/refraction-after.json --eye right
says '/first_surgery/done_on: missing'
run 0 $d/refraction-after.json --eye right --set first_surgery.done_on=2025-12-01
holds /refraction_before_cataract/sphere_d 2
holds /refractions null
# the depth behind an implanted lens is not that of the crystalline one; that lens's thickness is nobody's
run 0 $d/axial-after.json $d/calculation.json --eye right --set first_surgery.done_on=2025-08-01
holds /biometry_repeat/chamber_depth_mm null
holds /biometry_repeat/lens_depth_mm 3.12
holds /biometry_repeat/lens_thickness_mm null
holds /first_surgery/intended_se_d null
run 0 $d/calculation.json --eye right --set first_surgery.done_on=2025-08-01
holds /biometry_repeat/lens_depth_mm null

# Segments: what lies behind an implanted lens's front is its depth; a depth from the back of the cornea, or from nobody knows where,
# is not taken. What the instrument was told of the eye comes in where it warns; what instruments assume does not.
run 0 $d/axial-segments.json --eye right $done_on
holds /biometry_repeat/lens_depth_mm 5.05
holds /biometry_repeat/chamber_depth_mm null
holds /biometry_repeat/lens_thickness_mm null
holds /cornea/thickness_um 548
holds /anterior_segment/pupil_dilated_mm 7
holds /fellow_eye null
says '/fellow_eye/biometry: not taken: without a length'
sed 's/95217000/309649001/' $d/axial-segments.json >"$work/segments-before.json"
run 0 "$work/segments-before.json" --eye right --set first_surgery.done_on=2025-12-01
holds /biometry/chamber_depth_mm 5.05
holds /biometry/lens_thickness_mm 0.68
sed 's/"0022000D":{"vr":"CS","Value":\["YES"\]}/"0022000D":{"vr":"CS","Value":["NO"]}/' $d/axial-segments.json >"$work/narrow.json"
run 0 "$work/narrow.json" --eye right $done_on
holds /anterior_segment null
run 0 $d/axial-back.json --eye right $done_on
says '/biometry_repeat/lens_depth_mm: not taken: wanted a chamber depth from the front of the cornea: this one starts at its back'
holds /biometry_repeat/lens_depth_mm null
holds /zonule/vitrectomised true
sed 's/"111776"/"111775"/' $d/axial-segments.json >"$work/nowhere.json"
run 0 "$work/nowhere.json" --eye right $done_on
says 'the data set does not say where it starts'
holds /biometry_repeat/lens_depth_mm null
sed 's/"28726007"/"31636006"/g' $d/axial-segments.json >"$work/twice.json"
run 0 "$work/twice.json" --eye right $done_on
says '/biometry_repeat/lens_depth_mm: not taken: several values'
run 0 $d/axial-two-lenses.json --eye right $done_on
says '/biometry_repeat/eye_state: the instrument was told of two lenses in the eye: enter second_lens'
says '/biometry_repeat/axial_length_mm: the instrument was told of gas in the eye'
holds /biometry_repeat/eye_state null
holds /zonule null
run 0 $d/axial-after.json --eye right $done_on
holds /silicone_oil null
holds /zonule null

# The other eye, where files hold both: its biometry of one day, and what it is now only from after the first operation.
run 0 $d/calculation.json $d/axial-before.json $d/axial-segments.json $d/refraction-after.json $d/autorefraction.json $d/acuity.json --eye right $done_on
for row in axial_length_mm:23.31 eye_state:'"phakic"' method:'"optical"' measured_on:'"2025-08-20"' chamber_depth_mm:3.1 lens_thickness_mm:4.47; do
    holds "/fellow_eye/biometry/${row%%:*}" "${row#*:}"
done
holds /fellow_eye/refraction/sphere_d 1
holds /fellow_eye/refraction/method '"manifest"'
holds /fellow_eye/refraction/corrected_acuity_decimal 0.631
holds /fellow_eye/lens null
says '/fellow_eye/biometry: not taken: that of another day is'
says '/fellow_eye/refraction: not taken: a reading of another day or method is there already'
sed 's/20250820/20251028/g' $d/axial-before.json | sed 's/309649001/95217000/' >"$work/both-after.json"
run 0 "$work/both-after.json" --eye right $done_on
holds /fellow_eye/lens '"phakic"'
cp "$work/out" "$work/fellow.json"
sed 's/"lens": "phakic"/"lens": "pseudophakic"/; s/"eye": "right"/&, "case_ref": "A-1", "reason": "power-error"/' "$work/fellow.json" >"$work/fellow-other.json"
run 0 "$work/both-after.json" --eye right --into "$work/fellow-other.json"
says '/fellow_eye/lens: kept what the case says'
run 0 $d/autorefraction.json --eye right $done_on
holds /fellow_eye/refraction/method '"autorefractor"'
holds /fellow_eye/refraction/sphere_d 1.25
run 0 $d/refraction-after.json --eye right --set first_surgery.done_on=2025-12-01
holds /fellow_eye null
run 0 $d/keratometry-after.json $d/calculation.json --eye left --set first_surgery.done_on=2025-09-15
says 'nothing of this eye in the keratometry'
says '/fellow_eye/biometry: not taken: that of another day is'
holds /biometry/axial_length_mm 23.31
holds /fellow_eye/biometry/axial_length_mm 23.25

# A second reading of before the operation is another reading, no correction of the first; the stated one gives way to a measured one.
sed 's/20251015/20250611/g; s/1\.75/1.25/' $d/refraction-first.json >"$work/early.json"
run 0 $d/calculation.json "$work/early.json" --eye right $done_on
holds /refraction_before_cataract/sphere_d 1.25
holds /refraction_before_cataract/measured_on '"2025-06-11"'
sed 's/20251028/20250610/g' $d/autorefraction.json >"$work/earlier.json"
run 0 "$work/earlier.json" "$work/early.json" --eye right $done_on
holds /refraction_before_cataract/sphere_d 1.25
says '/refraction_before_cataract: not taken: a reading of another day or method is there already'

# A length of 0 is how instruments write that none was measured.
sed 's/4\.51999998/0/; s/11\.9/0/' $d/calculation.json >"$work/zero.json"
run 0 "$work/zero.json" --eye right $done_on
says '/biometry/lens_thickness_mm: 0 in the data set, taken as not measured'
holds /biometry/lens_thickness_mm null
holds /biometry/white_to_white_mm null
# a plano state without cylinder is the same
python3 - $d/calculation.json "$work/plano.json" "$work/cornea.json" <<'END'
import json, sys
data = json.load(open(sys.argv[1]))
eye = data["00221300"]["Value"][0]
state = eye["0022001B"]["Value"][0]
kept = dict(state)
state["00220007"]["Value"] = state["00220008"]["Value"] = [0]
json.dump(data, open(sys.argv[2], "w"))
# newer sets: keratometry among several measurements of the cornea, each with its method; the total power is not keratometry
del eye["0022001B"]
def axis(radius, power, degrees):
    return {"vr": "SQ", "Value": [{"00460075": {"vr": "FD", "Value": [radius]}, "00460114": {"vr": "FD", "Value": [power]}, "00460115": {"vr": "FD", "Value": [degrees]}}]}
def measurement(code, flat, steep):
    return {"00460112": steep, "00460113": flat, "00460116": {"vr": "SQ", "Value": [{"00080100": {"vr": "SH", "Value": [code]}}]},
            "00460111": {"vr": "SQ", "Value": [{"00080100": {"vr": "SH", "Value": ["113857"]}}]}}
del eye["00460074"], eye["00460080"]
eye["00460110"] = {"vr": "SQ", "Value": [measurement("111758", axis(7.9, 42.0, 4), axis(7.8, 43.0, 94)),
                                         measurement("111754", axis(7.74, 43.6, 2), axis(7.61, 44.35, 92))]}
json.dump(data, open(sys.argv[3], "w"))
END
run 0 "$work/plano.json" --eye right $done_on
holds /refraction_before_cataract null
run 0 "$work/cornea.json" --eye right $done_on
holds /biometry/k_flat_radius_mm 7.74
holds /biometry/k_steep_radius_mm 7.61
holds /biometry/k_steep_axis_deg 92
says '/biometry/k_flat_radius_mm: was entered by hand'

# Refused values are said, the others come in.
run 0 $d/back-of-cornea.json --eye right $done_on
says '/biometry/chamber_depth_mm: not taken: wanted a chamber depth from the front of the cornea: this one starts at its back'
holds /biometry/chamber_depth_mm null
holds /biometry/axial_length_mm 23.25
run 0 $d/simulated.json --eye right $done_on
says 'not taken: wanted measured keratometry: this one is simulated from a map'
holds /biometry/k_flat_radius_mm null
holds /biometry/k_steep_axis_deg null
holds /biometry/keratometric_index null
run 0 $d/other-index.json --eye right $done_on
holds /biometry/keratometric_index 1.332
says 'states another index'
sed 's/"00221096":{[^}]*"111754"/&/; s/111754/111756/' $d/calculation.json >"$work/equivalent.json"
run 0 "$work/equivalent.json" --eye right $done_on
says 'an equivalent reading'
sed 's/43\.6/42.9/g' $d/calculation.json >"$work/index.json"
run 0 "$work/index.json" --eye right $done_on
says 'do not fit any index'
holds /biometry/keratometric_index null

# The selected length; where none is selected the newest is said, and where no time tells, several are not taken.
run 0 $d/axial-unselected.json --eye right
says 'no length was selected: the newest is taken'
holds /biometry_repeat/axial_length_mm 23.22
python3 - $d/axial-unselected.json "$work/timed.json" "$work/untimed.json" <<'END'
import copy, json, sys
data = json.load(open(sys.argv[1]))
items = data["00221007"]["Value"][0]["00221050"]["Value"]
for length in (23.3499985, 23.31):
    items.append(copy.deepcopy(items[0]))
    items[-1]["00221210"]["Value"][0]["00221019"]["Value"] = [length]
json.dump([data], open(sys.argv[3], "w"))
for item, time in zip(items, ("20251028101500", "20251028101900", "20251028101700")):
    item["0008002A"] = {"vr": "DT", "Value": [time]}
json.dump([data], open(sys.argv[2], "w"))
END
run 0 "$work/timed.json" --eye right
holds /biometry_repeat/axial_length_mm 23.35
run 0 "$work/untimed.json" --eye right
says 'not taken: several values, and none is selected'
holds /biometry_repeat/axial_length_mm null

# Readings: oldest first whatever their order, by day and method; acuity to the reading of its day, and only of a kind that is meant.
run 0 $d/refraction-after.json $d/autorefraction.json $d/acuity.json $d/refraction-first.json --eye right $done_on
holds /refractions/0/sphere_d 1.75
holds /refractions/1/sphere_d 2
holds /refractions/1/method '"manifest"'
holds /refractions/1/corrected_acuity_decimal 1.096
holds /refractions/1/vertex_mm null
holds /refractions/2/method '"autorefractor"'
holds /refractions/2/cylinder_d -0.87
run 0 $d/refraction-after.json $d/acuity-pinhole.json --eye right $done_on
says 'acuity not taken: wanted the best corrected'
sed 's/419475002/420050001/' $d/acuity-pinhole.json >"$work/bare.json"
run 0 $d/refraction-after.json "$work/bare.json" --eye right $done_on
holds /refractions/0/uncorrected_acuity_decimal 1
run 0 $d/refraction-after.json $d/acuity-bare.json $d/acuity.json --eye right $done_on
holds /refractions/0/uncorrected_acuity_decimal 0.398
holds /refractions/0/corrected_acuity_decimal 1.096
# an acuity is not that of an automatic reading
run 0 $d/autorefraction.json $d/acuity.json --eye right $done_on
says 'acuity not taken: no refraction of its day'
run 1 $d/acuity.json --eye right $done_on
says 'acuity not taken: no refraction of its day'

# This eye has nothing in the file: the other eye alone is no import.
run 1 $d/keratometry-after.json --eye left $done_on
says 'nothing of this eye in the keratometry'

# Into a case: empty keys alone, its remarks kept; another value is a fault that names both; nothing is written then.
run 1 $d/calculation.json --eye right --into examples/hyperopic-surprise.json -o "$work/never"
says 'radii and dioptres'
[ ! -e "$work/never" ] || bad "a file was written after a fault"
cat >"$work/case.json" <<'END'
{"//": "kept \"as it is\"", "case_format": 1, "case_ref": "A-1", "eye": "right", "reason": "power-error", "first_surgery": {"//done_on": "by the letter",
 "done_on": "2025-09-15"}, "refractions": [{"//": "of the optician", "measured_on": "2025-10-20", "sphere_d": 1.875}],
 "biometry": {"//axial_length_mm": "to fill in", "axial_length_mm": null, "//k_flat_d": "to fill in", "k_flat_d": null}}
END
run 0 $d/calculation.json $d/refraction-first.json --eye right --into "$work/case.json"
holds /refractions/1/sphere_d 1.875
holds /refractions/0/sphere_d 1.75
grep -qF '"//": "kept \"as it is\""' "$work/out" && grep -qF '"//done_on": "by the letter"' "$work/out" || bad "remarks are lost"
[ "$(grep -A12 '"measured_on": "2025-10-15"' "$work/out" | grep -c optician)" = 1 ] || bad "the remark of a reading did not move with it"
[ "$(grep -c '"//axial_length_mm"' "$work/out")" = 2 ] || bad "two remarks beside one value, or none beside that of the other eye"
grep -qF '"k_flat_d": null' "$work/out" || bad "a key to fill in is lost"
cp "$work/out" "$work/again.json"
$program check "$work/again.json" >/dev/null 2>"$work/err" || { bad "what was imported is refused"; cat "$work/err"; }
run 0 $d/calculation.json $d/refraction-first.json --eye right --into "$work/again.json"
cmp -s "$work/out" "$work/again.json" || bad "a second import of the same changes something"
says '0 values came in'
{ printf '\357\273\277' && cat "$work/again.json"; } >"$work/marked.json" # behind a byte order mark
run 0 $d/calculation.json $d/refraction-first.json --eye right --into "$work/marked.json"
cmp -s "$work/out" "$work/again.json" || bad "a byte order mark changes something"
sed 's/23\.25/23.45/' "$work/again.json" >"$work/other.json"
run 1 $d/calculation.json --eye right --into "$work/other.json"
says '/biometry/axial_length_mm: contradiction: found 23.25, wanted 23.45, which the case holds already'
[ ! -s "$work/out" ] || bad "a case is written beside a fault"
run 2 $d/calculation.json --eye left --into "$work/case.json"
# two of the same kind: the newer stays, and that is said
sed 's/"20250820"/"20250821"/g; s/23\.25/23.27/g' $d/axial-before.json >"$work/newer.json"
run 0 $d/axial-before.json "$work/newer.json" --eye right $done_on
holds /biometry/axial_length_mm 23.27
says 'kept 23.27, the newer; not taken 23.25'

# What cannot be read; not one word of it is printed.
run 1 examples/minimal.json --eye right
says 'docs/import.md'
printf '{"00080016": {"vr": "UI", "Value": ["1.2.840.10008.5.1.4.1.1.78.1"]}, "x": KEPT-OUT}' >"$work/bad.json"
run 1 "$work/bad.json" --eye right
printf '{"00080016": {"vr": "UI", "Value": ["1.2.840.10008.5.1.4.1.1.78.1"]}, "00100010": {"Value": ["KEPT-OUT"]}}' >"$work/bad.json"
run 1 "$work/bad.json" --eye right
says 'a data set of another class'
# one of another class among those that are read is passed by, and that is said
{ printf '['; cat "$work/bad.json"; printf ','; cat $d/axial-before.json; printf ']'; } >"$work/mixed.json"
run 0 "$work/mixed.json" --eye right
says 'data sets of other classes were passed by'
holds /biometry/axial_length_mm 23.25
# two persons: their dates of birth are compared and not told
sed 's/19590401/19590402/' $d/axial-after.json >"$work/person.json"
run 1 $d/axial-before.json "$work/person.json" --eye right $done_on
says 'found data sets with different dates of birth'
! grep -q 1959 "$work/err" || bad "a date of birth is told"
sed 's/KEPT-OUT-4711/KEPT-OUT-4712/' $d/axial-after.json >"$work/number.json"
run 0 $d/axial-before.json "$work/number.json" --eye right $done_on
says 'the data sets bear different patient numbers'
sed 's/KEPT-OUT-4711/KEPT-OUT-4711 /' $d/axial-after.json >"$work/number.json"
run 0 $d/axial-before.json "$work/number.json" --eye right $done_on
! grep -q 'patient numbers' "$work/err" || bad "a blank behind a number makes another person of it"
# what a file is that does not begin as JSON does
kind() { # bytes, sentence
    printf "$1" >"$work/kind"
    run 1 "$work/kind" --eye right
    says "$2"
}
kind '%%PDF-1.7 KEPT-OUT' 'found a PDF, which holds no numbers'
kind '<?xml version="1.0"?><x>KEPT-OUT</x>' 'found XML or HTML'
kind 'PK\003\004KEPT-OUT' 'found a packed file'
kind '\377\376{\000' 'found a file in UTF-16'
kind 'KEPT-OUT, John' 'found another file'
kind '\r\n "KEPT-OUT"' 'found another file'
kind '{"case_format": 1, "case_ref": "KEPT-OUT"}' 'found a case (--into takes one)'
kind '{"another": 1}' 'found another file'
kind '{"00080016": {"Value": KEPT-OUT}}' 'found text that is not shown'
# a data set or a sheet where a case is wanted
run 1 $d/calculation.json --eye right --into $d/calculation.json
says 'found a DICOM data set, wanted a case or site file: `iolrevise import` makes a case'
[ "$(wc -l <"$work/err")" = 1 ] || bad "a data set as a case: more than one fault"
for command in plan check; do
    { printf '['; cat $d/axial-before.json; printf ']'; } | $program $command - >"$work/out" 2>"$work/err" && bad "$command takes a data set"
    says 'found a DICOM data set'
done
printf 'case_ref,eye\nKEPT-OUT,right\n' >"$work/row.csv"
$program plan "$work/row.csv" 2>"$work/err"
[ $? = 2 ] && says 'import makes one of a row of a sheet' || bad "plan and a sheet"
! grep -q 'KEPT-OUT' "$work/err" || bad "plan tells a cell"
{ head -c 128 /dev/zero; printf 'DICMKEPT-OUT rest of a file'; } >"$work/bad.json"
run 1 "$work/bad.json" --eye right
says 'in its binary form'
sed 's/23\.25/2.325/g' $d/axial-before.json >"$work/slip.json"
run 1 "$work/slip.json" --eye right
says '/biometry/axial_length_mm: unit-slip: found 2.33'
run 2 $d/calculation.json
run 2 $d/calculation.json --eye both
run 2 --eye right
run 3 "$work/absent.json" --eye right

# A row of a sheet.
printf '%s\r\n' 'case_ref,eye,reason,biometry.axial_length_mm,refractions.1.sphere_d,refractions.1.measured_on,first_surgery.done_on,reasons_also' \
    'A-1,left,power-error,23.01,,,,' 'A-1,right,power-error,23.25,+1.75,2025-10-15,2025-09-15,cylinder-error' 'A-2,right,KEPT-OUT,23.9,,,,' >"$work/rows.csv"
run 0 "$work/rows.csv" --eye left
holds /biometry/axial_length_mm 23.01
holds /case_ref '"A-1"'
run 1 "$work/rows.csv" --eye right
says 'found several rows, wanted one row of this eye'
run 0 "$work/rows.csv" --eye right --set case_ref=A-1
holds /biometry/axial_length_mm 23.25
holds /refractions/0/sphere_d 1.75
holds /reasons_also '["cylinder-error"]'
grep -qF '"//axial_length_mm": "sheet, row 3"' "$work/out" || bad "no origin of a sheet"
run 1 "$work/rows.csv" --eye right --set case_ref=A-2
says 'rows.csv:4:C: /reason: not-a-word'
run 1 "$work/rows.csv" --eye right --set case_ref=A-9
says 'found no row'
run 1 "$work/rows.csv" --eye left --set biometry.axial_length_mm=23
says 'rows.csv:2: /biometry/axial_length_mm: contradiction: found 23.01, wanted 23'

# The sticker of the record.
run 0 --sticker "]d2010200000000003917290531{GS}10KEPT-OUT" --site $site --eye right
holds /first_surgery/lens/lens_id '"bag-1p-hydrophobic"'
holds /first_surgery/lens/power_d 20.5
holds /first_surgery/lens/identified_by '"sticker"'
run 0 --sticker "0102000000000077" --site $site --eye right
holds /first_surgery/lens/cylinder_d 1.5
holds /first_surgery/lens/power_is '"equivalent"'
run 1 --sticker "+KEPT-OUT" --site $site --eye right
says 'Health Industry Bar Code'
run 1 --sticker "0102000000000145" --site $site --eye right
says 'not in the stock'
run 2 --sticker "0102000000000039" --eye right
run 1 --sticker "0102000000000039" --site $site --eye right --set first_surgery.lens.power_d=21
says '/first_surgery/lens/power_d: contradiction: found 20.5, wanted 21'

# The main example from two files of instruments and one scan.
python3 tests/runs/import_example.py "$program" || failed=1
python3 - "$work" <<'END' || failed=1
import json, sys
bad = 0
for line in open(sys.argv[1] + "/held"):
    run, path, wanted = line.rstrip("\n").split("\t")
    value = json.load(open(f"{sys.argv[1]}/{run}.json"))
    for step in path.strip("/").split("/"):
        value = value[int(step)] if isinstance(value, list) else value.get(step) if isinstance(value, dict) else None
    if json.dumps(value) != json.dumps(json.loads(wanted)):
        print(f"FAILED import: run {run}: {path} is {value}, not {wanted}")
        bad = 1
sys.exit(bad)
END
[ "$failed" = 0 ] && echo "passed import"
exit "$failed"
