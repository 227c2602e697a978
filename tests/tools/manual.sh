#!/bin/sh
# manual.sh FOLDER: the manual page and the completions of bash, zsh and fish, all from the help and so from the table of options.
# Called by generate.sh.
program=${BUILD:-build}/iolrevise
to=$1
version=$($program --version | sed 's/.* //')
commands=$($program --help | sed -n 's/^  \([a-z]*\) .*/\1/p')
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# ---- what the help says, as tables ----
# Entries of a help: two blanks, a name, its argument, then the words behind column 26 over several lines.
entries() { # name TAB argument TAB help
    awk 'function out() { if (name != "") print name "\t" argument "\t" help; name = "" }
        /^Examples:/ { exit }
        /^  [^ ]/ { out(); head = substr($0, 3, 24); help = substr($0, 27)
            if (length($0) <= 26 || substr($0, 26, 1) != " ") { head = substr($0, 3); help = "" }
            sub(/ +$/, "", head); name = head; sub(/ .*/, "", name); argument = substr(head, length(name) + 2); next }
        /^                          [^ ]/ { help = help (help == "" ? "" : " ") substr($0, 27); next }
        { out() }
        END { out() }'
}
$program --help | entries >"$work/commands"
for c in $commands; do $program $c --help | entries >"$work/$c"; done
# The words that end a help: "...: a, b or c", or the whole of it.
words_in() {
    sed 's/; or \([a-z-]*\),.*/, \1/; s/.*[:;] *\(sections: \)*//; s/ (.*//' | grep -E '^[a-z0-9-]+(, [a-z0-9-]+)*((,)? or [a-z0-9-]+)?$' |
        sed 's/,* or / /; s/, / /g' | grep ' '
}
words_of() { # command: what its first argument can be
    case $1 in
    help) echo $commands ;;
    template | schema | sources) awk -F'\t' -v c="$1" '$1 == c { print $3 }' "$work/commands" | words_in ;;
    esac
}
values_of() { # command, option: its words
    case $1$2 in
    *--format) awk -F'\t' '$1 == "--format" { sub(/ \(default\)/, "", $3); print $3 }' "$work/$1" | words_in ;;
    power--to) values_of power --from ;;
    *) awk -F'\t' -v o="$2" '$1 == o { print $3 }' "$work/$1" | words_in ;;
    esac
}
names_file() { case $1 in FILE | OUT | *.json | *.jsonl) return 0 ;; *) return 1 ;; esac; }
short_of() { case $1 in --help) echo -h ;; --version) echo -V ;; --output) echo -o ;; --format) echo -f ;; esac; }
takes_files() { case $1 in power | box | template | schema | sources | help) return 1 ;; *) return 0 ;; esac; }

# ---- the manual page (mdoc) ----
roff() { sed 's/\\/\\e/g; s/^\([.'"'"']\)/\\\&\1/; s/ -/ \\-/g; s/^-/\\-/; s/"-/"\\-/g'; }
fold_lines() { fold -s -w 76 | sed 's/ *$//' | roff; }
item() { # a row of a table, as an item of a list
    printf '%s\n' "$1" | awk -F'\t' '{ sub(/^--/, "Fl Fl ", $1); if ($1 !~ /^Fl/) $1 = "Cm " $1
        gsub(/"/, "", $2); print ".It " $1 ($2 == "" ? "" : " Ar " $2) }'
    printf '%s\n' "$1" | cut -f3 | fold_lines
}
{
    printf '.Dd %s\n.Dt IOLREVISE 1\n.Os\n.Sh NAME\n.Nm iolrevise\n.Nd plan the revision of an implanted intraocular lens\n' \
        'November 28, 2026'
    printf '.Sh SYNOPSIS\n.Nm\n.Ar command\n.Op Ar option ...\n.Op Ar file ...\n'
    printf '.Nm\n.Cm help\n.Op Ar command\n.Sh DESCRIPTION\n'
    printf 'Plans the revision of an implanted intraocular lens.\nDecision support for licensed surgeons; local rules come first.\n'
    printf 'This page is of version %s.\n.Pp\nThe commands:\n.Bl -tag -width Ds\n' "$version"
    while IFS= read -r line; do item "$line"; done <"$work/commands"
    printf '.El\n.Pp\nThe short forms\n.Fl h , V , o\nand\n.Fl f\nstand for\n.Fl Fl help , Fl Fl version , Fl Fl output\nand\n.Fl Fl format .\n'
    for c in $commands; do
        printf '.Ss Options of %s\n.Bl -tag -width Ds\n' "$c"
        while IFS= read -r line; do item "$line"; done <"$work/$c"
        printf '.El\n'
    done
    cat <<'END'
.Sh ENVIRONMENT
.Bl -tag -width NO_COLOR
.It Ev NO_COLOR
When set and not empty, text has no colour.
.It Ev TERM
Text has colour on a terminal alone, and none where this is
.Ql dumb
or not set.
.El
.Pp
Locale, time zone and clock are never asked.
END
    printf '.Sh EXIT STATUS\n'
    $program --help | sed -n '/^Exit status/,$p' | sed 's/^Exit status: *//' | roff
    cat <<'END'
If several hold, the first of 70, 4, 2, 3, 1, 5.
After 2 and 3 no file was replaced.
.Sh EXAMPLES
A starter; with its values filled in, checked and planned:
.Bd -literal -offset indent
iolrevise template power-error -o case.json
iolrevise check case.json
iolrevise plan case.json --site site.json -o plan.html
.Ed
.Pp
No file, a power from one line:
.Bd -literal -offset indent
iolrevise power --eye right --implanted 21.0 \e
    --refraction "+2.25 -0.75 x 80" --target -0.25
.Ed
.Pp
Past cases, rows and summary, on two cores:
.Bd -literal -offset indent
iolrevise recheck cases.jsonl -o rows.csv \e
    --summary summary.json --jobs 2
.Ed
.Pp
The same in two parts:
.Bd -literal -offset indent
iolrevise recheck a.jsonl -f json --partial a.part >a.json
iolrevise recheck b.jsonl -f json --partial b.part >b.json
iolrevise recheck --merge --parts 2 a.part b.part
.Ed
.Sh DIAGNOSTICS
Every fault of a file is one line on standard error:
.Ql iolrevise: FILE:LINE: PATH: CODE: found F, wanted W UNIT .
.Sh SEE ALSO
README.md, docs/case-format.md, docs/method.md and docs/references.md
in the folder of documents.
END
} >"$to/docs/iolrevise.1"

# ---- bash ----
options_of() { # command: long and short
    for o in $(cut -f1 "$work/$1"); do echo $o $(short_of $o); done | tr '\n' ' ' | sed 's/ $//'
}
with_argument() { awk -F'\t' '$2 != "" { print $1 }' "$work/$1"; }
argument_of() { awk -F'\t' -v o="$2" '$1 == o { print $2 }' "$work/$1"; }
pattern() { s=$(short_of $1); echo "$1${s:+|$s}"; }
{
    echo '# bash completion of iolrevise, made from its table of options'
    echo '_iolrevise() {'
    echo '    local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options words'
    echo '    COMPREPLY=()'
    echo '    case ${COMP_WORDS[1]}$before in'
    for c in $commands; do
        files= other=
        for o in $(with_argument $c); do
            values=$(values_of $c $o)
            if [ -n "$values" ]; then
                for p in $(pattern $o | tr '|' ' '); do
                    echo "    $c$p) COMPREPLY=(\$(compgen -W '$values' -- \"\$current\")); return ;;"
                done
            elif names_file "$(argument_of $c $o)"; then
                for p in $(pattern $o | tr '|' ' '); do files="$files${files:+|}$c$p"; done
            else
                for p in $(pattern $o | tr '|' ' '); do other="$other${other:+|}$c$p"; done
            fi
        done
        [ -z "$files" ] || echo "    $files) return ;;"
        [ -z "$other" ] || echo "    $other) compopt +o default 2>/dev/null; return ;;"
    done
    echo '    esac'
    echo '    case ${COMP_WORDS[1]} in'
    for c in $commands; do echo "    $c) options='$(options_of $c)' words='$(words_of $c)' ;;"; done
    echo "    help) words='$(echo $commands)' ;;"
    echo '    esac'
    echo "    [ \"\$COMP_CWORD\" != 1 ] || { options='--help --version -h -V'; words='$(echo $commands) help'; }"
    echo '    case $current in'
    echo '    -*) COMPREPLY=($(compgen -W "$options" -- "$current")) ;;'
    echo '    *) [ -z "$words" ] || COMPREPLY=($(compgen -W "$words" -- "$current")) ;;'
    echo '    esac'
    echo '}'
    echo 'complete -o default -F _iolrevise iolrevise'
} >"$to/docs/completion.bash"

# ---- zsh ----
zsh_text() { sed "s/'/'\\\\''/g; s/\\[/(/g; s/\\]/)/g; s/:/\\\\:/g"; }
{
    echo '#compdef iolrevise'
    echo '# zsh completion of iolrevise, made from its table of options'
    echo '_iolrevise() {'
    echo '    local -a commands'
    echo '    commands=('
    awk -F'\t' '{ print $1 "\t" $3 }' "$work/commands" | while IFS="$(printf '\t')" read -r name help; do
        printf "        '%s:%s'\n" "$name" "$(printf '%s' "$help" | zsh_text)"
    done
    echo "        'help:a command'\\''s options'"
    echo '    )'
    echo '    if (( CURRENT == 2 )); then'
    echo "        _describe command commands"
    echo "        return"
    echo '    fi'
    echo '    local command=$words[2]'
    echo '    shift words'
    echo '    (( CURRENT-- ))'
    echo '    case $command in'
    for c in $commands; do
        echo "    $c)"
        echo '        _arguments -S \'
        while IFS="$(printf '\t')" read -r name argument help; do
            case $argument in --* | *' '*) ;; esac
            [ -n "$help" ] || { help=$argument; argument=; }
            help=$(printf '%s' "$help" | zsh_text)
            for n in $name $(short_of $name); do
                if [ -z "$(argument_of $c $name)" ]; then
                    printf "            '%s[%s]' \\\\\n" "$n" "$help"
                    continue
                fi
                values=$(values_of $c $name)
                action=' '
                names_file "$argument" && action=_files
                [ -z "$values" ] || action="($values)"
                printf "            '%s[%s]:%s:%s' \\\\\n" "$n" "$help" "$argument" "$action"
            done
        done <<END
$(awk -F'\t' '{ print $1 "\t" ($2 == "" ? "-" : $2) "\t" $3 }' "$work/$c")
END
        values=$(words_of $c)
        if [ -n "$values" ]; then
            echo "            '1:what:($values)'"
        elif takes_files $c; then
            echo "            '*:file:_files'"
        else
            echo "            '*:value: '"
        fi
        echo '        ;;'
    done
    echo "    help) _arguments '1:command:($(echo $commands))' ;;"
    echo '    esac'
    echo '}'
    echo '_iolrevise "$@"'
} >"$to/docs/completion.zsh"

# ---- fish ----
fish_text() { sed "s/\\\\/\\\\\\\\/g; s/'/\\\\'/g"; }
{
    echo '# fish completion of iolrevise, made from its table of options'
    echo 'complete -c iolrevise -n __fish_use_subcommand -f'
    while IFS="$(printf '\t')" read -r line; do
        name=$(printf '%s' "$line" | cut -f1)
        help=$(printf '%s' "$line" | cut -f3 | fish_text)
        echo "complete -c iolrevise -n __fish_use_subcommand -f -a $name -d '$help'"
    done <"$work/commands"
    echo "complete -c iolrevise -n __fish_use_subcommand -f -a help -d 'a command\\'s options'"
    echo "complete -c iolrevise -n '__fish_seen_subcommand_from help' -f -a '$(echo $commands)'"
    for c in $commands; do
        seen="-n '__fish_seen_subcommand_from $c'"
        while IFS= read -r line; do
            name=$(printf '%s' "$line" | cut -f1)
            argument=$(printf '%s' "$line" | cut -f2)
            help=$(printf '%s' "$line" | cut -f3 | fish_text)
            values=$(values_of $c $name)
            short=$(short_of $name)
            what="-l ${name#--}${short:+ -s ${short#-}}"
            [ -z "$argument" ] || what="$what -x"
            names_file "$argument" && what="-l ${name#--}${short:+ -s ${short#-}} -r -F"
            [ -z "$values" ] || what="$what -a '$values'"
            echo "complete -c iolrevise $seen $what -d '$help'"
        done <"$work/$c"
        values=$(words_of $c)
        [ -z "$values" ] || echo "complete -c iolrevise $seen -f -a '$values'"
    done
} >"$to/docs/completion.fish"
