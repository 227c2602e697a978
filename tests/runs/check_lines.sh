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
[ "$failed" = 0 ] && echo "passed longest lines"
exit "$failed"
