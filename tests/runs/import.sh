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
[ "$(grep -c '"//' "$work/out")" = 15 ] || bad "not an origin for each of 15 values"
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
run 1 $d/acuity.json --eye right $done_on
says 'acuity not taken: no refraction of its day'

# The other eye has nothing in these files.
run 1 $d/calculation.json --eye left $done_on
says 'nothing of this eye in the lens calculation'

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
[ "$(grep -c '"//axial_length_mm"' "$work/out")" = 1 ] || bad "two remarks beside one value"
grep -qF '"k_flat_d": null' "$work/out" || bad "a key to fill in is lost"
cp "$work/out" "$work/again.json"
$program check "$work/again.json" >/dev/null 2>"$work/err" || { bad "what was imported is refused"; cat "$work/err"; }
run 0 $d/calculation.json $d/refraction-first.json --eye right --into "$work/again.json"
cmp -s "$work/out" "$work/again.json" || bad "a second import of the same changes something"
says '0 values came in'
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

# The main example from two instrument files and one scan: the same lens, step, cylinder and meridian stand as advised, with fewer than
# twenty values typed. (Its decision names causes that only more looks exclude.)
cat >"$work/typed" <<'END'
case_ref=ORR-001
reason=power-error
assessed_on=2025-10-30
target_se_d=-0.25
target_cylinder_d=0.5
red_flags.none=yes
first_surgery.done_on=2025-09-15
first_surgery.lens.position=bag
refractions.2.lens_then=in-place
anterior_segment.fluid_behind_lens=no
anterior_segment.pressure_mmhg=14
silicone_oil.now=no
silicone_oil.at_refraction=no
anterior_segment.uveitis=none
anterior_segment.glaucoma=none
zonule.donesis=none
zonule.missing_clock_hours=0
checks.biometry_belongs_to_this_eye=yes
END
typed=$(($(wc -l <"$work/typed") + 1)) # and --eye
[ "$typed" -lt 20 ] || bad "$typed typed values"
first= then=
for set in $(cat "$work/typed"); do
    case $set in refractions* | anterior* | silicone* | zonule* | checks*) then="$then --set $set" ;; *) first="$first --set $set" ;; esac
done
{ printf '['; cat $d/axial-after.json; printf ','; cat $d/keratometry-after.json; printf ','; cat $d/refraction-first.json
    printf ','; cat $d/refraction-after.json; printf ','; cat $d/acuity.json; printf ']'; } >"$work/visit.json"
run 0 $d/calculation.json --sticker "]d2010200000000003917290531" --site $site --eye right $first
cp "$work/out" "$work/one.json"
run 0 "$work/visit.json" --eye right --into "$work/one.json"
cp "$work/out" "$work/two.json"
$program check "$work/two.json" >/dev/null || bad "the imported case is refused"
$program plan "$work/two.json" --site $site -f json $then >"$work/imported.json"
$program plan examples/hyperopic-surprise.json --site $site -f json >"$work/typed.json"
python3 - "$work/imported.json" "$work/typed.json" <<'END' || bad "the imported case plans another lens than the typed one"
import json, sys
lens = []
for name in sys.argv[1:]:
    r = json.load(open(name))["replacement"]
    c = next(c for c in r["choices"] if c["chosen"])
    lens.append((r["standing"], r["position"], c["lens_id"], c["power_d"], c["cylinder_d"], c["axis_deg"]))
print("" if lens[0] == lens[1] else lens)
sys.exit(lens[0] != lens[1] or lens[0][0] != "advised")
END
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
