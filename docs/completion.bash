# bash completion of iolrevise, made from its table of options
_iolrevise() {
    local current=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options words
    COMPREPLY=()
    case ${COMP_WORDS[1]}$before in
    plan--format) COMPREPLY=($(compgen -W 'text json html' -- "$current")); return ;;
    plan-f) COMPREPLY=($(compgen -W 'text json html' -- "$current")); return ;;
    plan--only) COMPREPLY=($(compgen -W 'decide theatre patient note' -- "$current")); return ;;
    plan--site|plan--output|plan-o) return ;;
    plan--as-of|plan--language|plan--set|plan--what-if) compopt +o default 2>/dev/null; return ;;
    ask--format) COMPREPLY=($(compgen -W 'text json html' -- "$current")); return ;;
    ask-f) COMPREPLY=($(compgen -W 'text json html' -- "$current")); return ;;
    ask--site|ask--output|ask-o) return ;;
    ask--as-of|ask--set) compopt +o default 2>/dev/null; return ;;
    power--format) COMPREPLY=($(compgen -W 'text json html' -- "$current")); return ;;
    power-f) COMPREPLY=($(compgen -W 'text json html' -- "$current")); return ;;
    power--eye) COMPREPLY=($(compgen -W 'right left' -- "$current")); return ;;
    power--from) COMPREPLY=($(compgen -W 'bag sulcus sulcus-captured sclera iris-behind iris-front chamber' -- "$current")); return ;;
    power--to) COMPREPLY=($(compgen -W 'bag sulcus sulcus-captured sclera iris-behind iris-front chamber' -- "$current")); return ;;
    power--identified) COMPREPLY=($(compgen -W 'sticker record' -- "$current")); return ;;
    power--surface) COMPREPLY=($(compgen -W 'regular irregular ectatic scarred' -- "$current")); return ;;
    power--formula) COMPREPLY=($(compgen -W 'srk-t t2 holladay-1 hoffer-q haigis' -- "$current")); return ;;
    power--site|power--output|power-o) return ;;
    power--implanted|power--refraction|power--target|power--vertex|power--k|power--length|power--chamber-depth|power--a-constant|power--new-a-constant|power--days|power--age|power--pressure|power--method|power--readings|power--haigis) compopt +o default 2>/dev/null; return ;;
    import--eye) COMPREPLY=($(compgen -W 'right left' -- "$current")); return ;;
    import--site|import--output|import-o|import--into) return ;;
    import--set|import--sticker) compopt +o default 2>/dev/null; return ;;
    box--site|box--output|box-o|box--plan) return ;;
    box--as-of) compopt +o default 2>/dev/null; return ;;
    check--format) COMPREPLY=($(compgen -W 'text json' -- "$current")); return ;;
    check-f) COMPREPLY=($(compgen -W 'text json' -- "$current")); return ;;
    check--output|check-o) return ;;
    template--output|template-o) return ;;
    schema--output|schema-o) return ;;
    recheck--format) COMPREPLY=($(compgen -W 'text json html csv jsonl' -- "$current")); return ;;
    recheck-f) COMPREPLY=($(compgen -W 'text json html csv jsonl' -- "$current")); return ;;
    recheck--site|recheck--output|recheck-o|recheck--summary|recheck--partial|recheck--against|recheck--compare|recheck--fit-site) return ;;
    recheck--as-of|recheck--jobs|recheck--parts) compopt +o default 2>/dev/null; return ;;
    sources--format) COMPREPLY=($(compgen -W 'text json markdown' -- "$current")); return ;;
    sources-f) COMPREPLY=($(compgen -W 'text json markdown' -- "$current")); return ;;
    sources--output|sources-o) return ;;
    esac
    case ${COMP_WORDS[1]} in
    plan) options='--site --format -f --output -o --as-of --full --only --language --strict --set --what-if --help -h --version -V' words='' ;;
    ask) options='--site --format -f --output -o --as-of --set --fill --help -h --version -V' words='' ;;
    power) options='--site --format -f --output -o --full --strict --eye --implanted --refraction --target --vertex --k --length --chamber-depth --a-constant --new-a-constant --from --to --piggyback --days --age --earlier-laser --no-earlier-laser --oil --no-oil --no-fluid --examined --pressure --identified --method --readings --repeated --surface --haigis --formula --help -h --version -V' words='' ;;
    import) options='--site --output -o --set --csv --eye --into --sticker --help -h --version -V' words='' ;;
    box) options='--site --output -o --as-of --plan --help -h --version -V' words='' ;;
    check) options='--format -f --output -o --csv --help -h --version -V' words='' ;;
    template) options='--output -o --csv --short --help -h --version -V' words='power-error opacity dislocation displaced cylinder photic no-lens two-lenses child past-case site' ;;
    schema) options='--output -o --help -h --version -V' words='case site plan recheck summary case-format' ;;
    recheck) options='--site --format -f --output -o --as-of --csv --jobs --summary --partial --merge --parts --against --fail-on-change --compare --site-constants --fit-site --help -h --version -V' words='' ;;
    sources) options='--format -f --output -o --help -h --version -V' words='formulas constants spreads rates factors shelf risk rules evidence references codes' ;;
    help) words='plan ask power import box check template schema recheck sources' ;;
    esac
    [ "$COMP_CWORD" != 1 ] || { options='--help --version -h -V'; words='plan ask power import box check template schema recheck sources help'; }
    case $current in
    -*) COMPREPLY=($(compgen -W "$options" -- "$current")) ;;
    *) [ -z "$words" ] || COMPREPLY=($(compgen -W "$words" -- "$current")) ;;
    esac
}
complete -o default -F _iolrevise iolrevise
