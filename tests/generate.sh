#!/bin/sh
# Writes every file that is the program's own output below a folder (default: here). The tests compare them with the project's.
program=${BUILD:-build}/iolrevise
to=${1:-.}
mkdir -p "$to/data" "$to/docs"
for s in case site plan recheck summary; do $program schema $s --output "$to/data/$s.schema.json" || exit 1; done
$program schema case-format --output "$to/docs/case-format.md" || exit 1
$program sources --format markdown --output "$to/docs/references.md" || exit 1
{
    printf '.TH IOLREVISE 1\n.SH NAME\niolrevise \\- plan the revision of an implanted intraocular lens\n.SH SYNOPSIS\n.nf\n'
    $program --help | sed 's/\\/\\e/g; s/-/\\-/g; s/^\./\\\&./'
    printf '.fi\n.SH COMMANDS\n'
    for c in plan power check template schema recheck sources; do
        printf '.SS %s\n.nf\n' "$c"
        $program $c --help | sed '/^Exit status/,$d' | sed 's/\\/\\e/g; s/-/\\-/g; s/^\./\\\&./'
        printf '.fi\n'
    done
    printf '.SH SEE ALSO\nREADME.md, docs/case\\-format.md, docs/method.md, docs/references.md\n'
} >"$to/docs/iolrevise.1"
sh tests/evidence.sh "$to" || exit 1
