# bash completion of iolrevise, made from its table of options
_iolrevise() {
    local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options words formats
    COMPREPLY=()
    case ${COMP_WORDS[1]} in
    plan)
        options='--site --format --output --as-of --full --only --strict --set --what-if --help --version'
        words=''
        formats='text json html'
        ;;
    ask)
        options='--site --format --output --as-of --set --fill --help --version'
        words=''
        formats='text json html'
        ;;
    power)
        options='--format --output --strict --eye --implanted --refraction --target --vertex --k --length --chamber-depth --a-constant --new-a-constant --from --to --piggyback --days --age --earlier-laser --no-earlier-laser --oil --no-oil --no-fluid --identified --formula --help --version'
        words=''
        formats='text json html'
        ;;
    check)
        options='--help --version'
        words=''
        ;;
    template)
        options='--output --help --version'
        words='power-error opacity dislocation cylinder photic no-lens two-lenses child past-case site'
        ;;
    schema)
        options='--output --help --version'
        words='case site plan recheck summary case-format'
        ;;
    recheck)
        options='--site --format --output --as-of --jobs --summary --partial --merge --parts --against --fail-on-change --fit-site --help --version'
        words=''
        formats='text json html csv jsonl'
        ;;
    sources)
        options='--format --output --help --version'
        words='formulas constants spreads shelf risk rules evidence references codes'
        formats='text json markdown'
        ;;
    esac
    [ "$COMP_CWORD" != 1 ] || { options="--help --version"; words="plan ask power check template schema recheck sources"; }
    case $before in
    --format) words=$formats; options= ;;
    --a-constant|--against|--age|--as-of|--chamber-depth|--days|--eye|--fit-site|--formula|--from|--identified|--implanted|--jobs|--k|--length|--new-a-constant|--only|--output|--partial|--parts|--refraction|--set|--site|--summary|--target|--to|--vertex|--what-if) return ;;
    esac
    case $current in
    -*) COMPREPLY=($(compgen -W "$options" -- "$current")) ;;
    *) [ -z "$words" ] || COMPREPLY=($(compgen -W "$words" -- "$current")) ;;
    esac
}
complete -o default -F _iolrevise iolrevise
