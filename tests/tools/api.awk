# Reads the public headers. With lint=1 prints each public function whose comment lacks Given, Returned, Status or Tests, or the
# unit of a dimensional argument, or names a test that is not there. Without, prints docs/api.md.
function flush_block(    n, i, names, missing, unit, test, tests) {
    if (prototypes != "" && lint) {
        missing = ""
        for (i = 1; i <= 4; i++) if (index(comment, wanted[i] ":") == 0) missing = missing " " wanted[i]
        if (prototypes ~ /_d[,);]|_d\)/ && comment !~ /[( ,;]D[), .;]/) missing = missing " unit(D)"
        if (prototypes ~ /_mm[,);]/ && comment !~ /mm/) missing = missing " unit(mm)"
        if (prototypes ~ /_deg[,);]/ && comment !~ /degrees/) missing = missing " unit(degrees)"
        n = split(comment, tests, /[ ,\n]+/)
        for (i = 1; i <= n; i++) if (tests[i] ~ /^tests\// && system("test -e " tests[i]) != 0) missing = missing " " tests[i]
        if (missing != "") print FILENAME ": " prototypes "lacks" missing
    }
    if (prototypes != "" && !lint) {
        printf "\n```c\n%s```\n\n", prototypes
        n = split(comment, names, "\n")
        for (i = 1; i <= n; i++) if (names[i] != "") print names[i]
    }
    comment = prototypes = ""
}
BEGIN {
    split("Given Returned Status Tests", wanted, " ")
    if (!lint) {
        print "# The library, function by function\n"
        print "Made from the headers (`make docs`). Statuses: 0 computed; below 0 not computed, and every output is NaN; above 0 computed,"
        print "with cautions (bits). Structs are in the headers; the members of case, site and plan are in [case-format.md](case-format.md) and"
        print "`data/plan_fields.def`. Link with `pkg-config --libs iolrevise`; [host.c](../examples/host.c) is a small program."
    }
}
FNR == 1 { flush_block(); inside = 0; if (!lint) titled = 0 }
FNR == 1 && !lint { title = $0; sub(/^\/\* */, "", title); sub(/ *\*\/$/, "", title); name = FILENAME; sub(/^include\//, "", name) }
/^IOL_PUBLIC_BEGIN/ { inside = 1; if (!lint) printf "\n## %s\n\n%s\n", name, title; next }
/^IOL_PUBLIC_END/ { flush_block(); inside = 0 }
!inside { next }
/^$/ { flush_block(); next }
/^\/\* ----/ { next }
/^\/\*/ || reading {
    line = $0
    if (line ~ /^\/\*/) flush_block()
    reading = line !~ /\*\//
    sub(/^\/\* ?/, "", line); sub(/^ \* ?/, "", line); sub(/ ?\*\/.*$/, "", line)
    if (line ~ /^(Equation|Given|Returned|Status|Valid|Source|Tests):/) line = "- " line
    comment = comment line "\n"
    next
}
/^(typedef|static|extern|enum)/ || nested { nested = ($0 ~ /\{/ || nested) && $0 !~ /^\}|\} *$/; if (!nested) comment = ""; next }
/^[a-z].*\(/ || open { prototypes = prototypes $0 "\n"; open = $0 !~ /;$/ }
END { flush_block() }
