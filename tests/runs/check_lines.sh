#!/bin/sh
# The longest record of JSON Lines: 64 KiB is taken, a byte more is read past and refused, and the next line is read.
program=${BUILD:-build}/iolrevise
failed=0
# A case on one line of $1 bytes.
line() {
    head='{"case_format":1,"case_ref":"A","eye":"left","reason":"lens-tilt","//":"' tail='"}'
    fill=$(($1 - ${#head} - ${#tail}))
    printf %s "$head"
    head -c "$fill" /dev/zero | tr '\0' x
    printf %s "$tail"
}
expect() { # bytes, line end, refused
    got=$({ line "$1"; printf "$2"; line 100; printf "$2"; } | $program check - 2>/dev/null)
    [ "$got" = "-: 2 cases, $3 refused" ] && return
    echo "FAILED a line of $1 bytes: $got"
    failed=1
}
for end in '\n' '\r\n'; do
    expect 65535 "$end" 0
    expect 65536 "$end" 0
    expect 65537 "$end" 1
    expect 9000000 "$end" 1
done
# A row of a sheet whose quoted cell goes on until it is too long: what stands behind it belongs to nobody, and is not read.
rest() { # refused bytes before the other rows
    {
        echo 'case_format,case_ref,eye,reason'
        echo '1,A-1,right,power-error'
        printf '1,A-2,"'
        head -c "$1" /dev/zero | tr '\0' x | fold -w 100
        printf '\n1,A-3,right,power-error\n1,A-4,left,power-error\n'
    } | $program check - --csv 2>/dev/null
}
[ "$(rest 90000)" = "-: 2 cases, 1 refused" ] || { echo "FAILED a row without end: $(rest 90000)"; failed=1; }
[ "$(rest 600)" = "-: 2 cases, 1 refused" ] || { echo "FAILED a short row without end: $(rest 600)"; failed=1; }
[ "$failed" = 0 ] && echo "passed longest lines"
exit "$failed"
