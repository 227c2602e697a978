#!/bin/sh
# Codes drawn and read by outside programs: zint draws a GS1 symbol of a box, dmtxread reads it back, box says what it is.
program=${BUILD:-build}/iolrevise
failed=0
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
command -v zint >/dev/null && command -v dmtxread >/dev/null || { echo "SKIP box-codes: no zint or dmtxread"; exit 0; }
separator="-G 29"
read_back() { # CODE with brackets: as a reader types it, FNC1 as GS
    zint --barcode=71 --gs1 --scale=5 --quietzones --output="$work/code.png" --data="$1" 2>/dev/null || return 1
    dmtxread $separator -m 5000 "$work/code.png"
}
says() { # WORD CODE
    read_back "$2" >"$work/typed" || { echo "FAILED $2 is not drawn or read"; failed=1; return; }
    $program box - --site examples/site.json --as-of 2026-01-01 <"$work/typed" >"$work/out"
    [ "$(head -1 "$work/out")" = "$1" ] || { echo "FAILED $2 is $(cat "$work/out"), wanted $1"; failed=1; }
}
says KNOWN '[01]02000000000077[17]290531[10]AB-7[21]S9'
says KNOWN '[01]02000000000077[10]AB-7[17]290531[21]S9'
says KNOWN '[01]02000000000077[10]AB-7[21]S9[17]290200'
says STOP '[01]02000000000077[17]251231[10]AB-7'
says STOP '[01]02000000000145[17]290531'
separator= # a reader that drops FNC1
says KNOWN '[01]02000000000077[17]290531[10]AB-7[21]S9'
says STOP '[01]02000000000077[10]AB-7[17]290531[21]S9'
[ "$failed" = 0 ] && echo "passed codes"
exit "$failed"
