#!/bin/sh
# manual.sh FOLDER: the manual page and the bash completion, both from the help and so from the table of options. Called by
# generate.sh.
program=${BUILD:-build}/iolrevise
to=$1
commands=$($program --help | sed -n 's/^  \([a-z]*\) .*/\1/p')
roff() { sed 's/\\/\\e/g; s/-/\\-/g; s/^\./\\\&./'; }
{
    printf '.TH IOLREVISE 1 "" "iolrevise %s"\n' "$($program --version | sed 's/.* //')"
    printf '.SH NAME\niolrevise \\- plan the revision of an implanted intraocular lens\n'
    printf '.SH SYNOPSIS\n.B iolrevise\n.I COMMAND\n[\n.I OPTION\n].\\|.\\|.\n[\n.I FILE\n].\\|.\\|.\n.SH DESCRIPTION\n.nf\n'
    $program --help | sed '/^Exit status/,$d' | roff
    printf '.fi\n.SH COMMANDS\n'
    for c in $commands; do
        printf '.SS %s\n.nf\n' "$c"
        $program $c --help | sed '/^Exit status/,$d' | roff
        printf '.fi\n'
    done
    printf '.SH "EXIT STATUS"\n'
    $program --help | sed -n '/^Exit status/,$p' | roff
    printf '.SH "SEE ALSO"\nREADME.md, case\\-format.md, method.md and references.md in the folder of documents\n'
} >"$to/docs/iolrevise.1"
words_of() { # command: the words that its first argument can be
    $program --help | awk -v c="$1" '/^  [a-z]/ { on = $1 == c } /^$/ { on = 0 } on' | tr '\n' ' ' |
        sed -n 's/.*\(prints a starter\|prints a JSON Schema\|sections\): *//p' | sed 's/; or \([a-z-]*\),.*/ \1/; s/,/ /g' | tr -s ' ' | sed 's/ $//'
}
options_of() { $program $1 --help | sed -n 's/^  \(--[a-z-]*\) .*/\1/p' | tr '\n' ' ' | sed 's/ $//'; }
formats_of() { # command: its words behind --format
    case $1 in
    recheck) echo text json html csv jsonl ;;
    sources) echo text json markdown ;;
    *) echo text json html ;;
    esac
}
with_argument=$(for c in $commands; do $program $c --help | sed -n 's/^  \(--[a-z-]*\) \([A-Z]\).*/\1/p'; done | sort -u | grep -v '^--format$' | tr '\n' '|' | sed 's/|$//')
{
    echo '# bash completion of iolrevise, made from its table of options'
    echo '_iolrevise() {'
    echo '    local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options words formats'
    echo '    COMPREPLY=()'
    echo '    case ${COMP_WORDS[1]} in'
    for c in $commands; do
        echo "    $c)"
        echo "        options='$(options_of $c)'"
        echo "        words='$(words_of $c)'"
        case $(options_of $c) in *--format*) echo "        formats='$(formats_of $c)'" ;; esac
        echo '        ;;'
    done
    echo '    esac'
    echo '    [ "$COMP_CWORD" != 1 ] || { options="--help --version"; words="'$commands'"; }'
    echo '    case $before in'
    echo '    --format) words=$formats; options= ;;'
    echo "    $with_argument) return ;;"
    echo '    esac'
    echo '    case $current in'
    echo '    -*) COMPREPLY=($(compgen -W "$options" -- "$current")) ;;'
    echo '    *) [ -z "$words" ] || COMPREPLY=($(compgen -W "$words" -- "$current")) ;;'
    echo '    esac'
    echo '}'
    echo 'complete -o default -F _iolrevise iolrevise'
} >"$to/docs/completion.bash"
