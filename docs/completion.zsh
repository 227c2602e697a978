#compdef iolrevise
# zsh completion of iolrevise, made from its table of options
_iolrevise() {
    local -a commands
    commands=(
        'plan:the whole plan for one case; - or nothing reads standard input'
        'ask:the questions that could change the plan, most first; - or nothing reads standard input'
        'power:exchange or piggyback power from a refraction typed on the line, as\: OD 21.0 "+2.25 -0.75 x 80" -0.25'
        'import:measurements of one eye from DICOM data sets in JSON or a row of a sheet, as a case file; with --into the empty keys of one are filled'
        'box:what is in the box that was scanned, and whether it is the lens of the plan; - or nothing reads the code from standard input'
        'check:validates case and site files and sheets (.csv), changes nothing; - or nothing reads one case or JSON Lines'
        'template:prints a starter\: power-error, opacity, dislocation, displaced, cylinder, photic, no-lens, two-lenses, child, past-case, site'
        'schema:prints a JSON Schema\: case, site, plan, recheck, summary; or case-format, the page'
        'recheck:plans past cases again and compares with what came of them'
        'sources:every built-in number with unit, source and status; sections\: formulas, constants, spreads, rates, factors, shelf, risk, rules, evidence, references, codes'
        'help:a command'\''s options'
    )
    if (( CURRENT == 2 )); then
        _describe command commands
        return
    fi
    local command=$words[2]
    shift words
    (( CURRENT-- ))
    case $command in
    plan)
        _arguments -S \
            '--site[lens shelf and local settings]:SITE.json:_files' \
            '--format[text (default), json or html]:FORMAT:(text json html)' \
            '-f[text (default), json or html]:FORMAT:(text json html)' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--as-of[day that intervals are counted to (default\: the case'\''s assessed_on)]:DATE: ' \
            '--full[text\: everything, not the one screen]' \
            '--only[text\: some parts, commas between\: decide, theatre, patient, note (five lines for the record) or keys of the plan]:PARTS:(decide theatre patient note)' \
            '--language[of the patient'\''s words\: en (default) or de (not checked by a native clinician)]:LANGUAGE: ' \
            '--strict[exit 5 when the plan holds a stop caution]' \
            '--set[with this value changed; null clears it; as often as wanted]:PATH=VALUE: ' \
            '--what-if[one table\: the case as it is, and changed so; as often as wanted]:PATH=VALUE[,PATH=VALUE]: ' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '*:file:_files'
        ;;
    ask)
        _arguments -S \
            '--site[lens shelf and local settings]:SITE.json:_files' \
            '--format[text (default), json or html]:FORMAT:(text json html)' \
            '-f[text (default), json or html]:FORMAT:(text json html)' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--as-of[day that intervals are counted to (default\: the case'\''s assessed_on)]:DATE: ' \
            '--set[with this value changed; null clears it; as often as wanted]:PATH=VALUE: ' \
            '--fill[ask on the terminal, one question at a time, and write the case (--output)]' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '*:file:_files'
        ;;
    power)
        _arguments -S \
            '--site[lens shelf and local settings]:SITE.json:_files' \
            '--format[text (default), json or html]:FORMAT:(text json html)' \
            '-f[text (default), json or html]:FORMAT:(text json html)' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--full[text\: everything, not the one screen]' \
            '--strict[exit 5 when the plan holds a stop caution]' \
            '--eye[OD, OS, R, L too\: right or left]:EYE:(right left)' \
            '--implanted[power of the lens in the eye, 21.0]:D: ' \
            '--refraction["+2.25 -0.75 x 80", "+2.25/-0.75x80", "+1.50", "-1.50 DS" or "plano -0.75 x 80"]:R: ' \
            '--target[spherical equivalent wanted, -0.25]:D: ' \
            '--vertex[vertex distance of the refraction (12 assumed)]:MM: ' \
            '--k[mean 43.50, or both meridians 43.10@5/43.90@95]:K: ' \
            '--length[axial length; without it the refraction alone is used]:MM: ' \
            '--chamber-depth[epithelium to crystalline lens, before the first operation]:MM: ' \
            '--a-constant[A-constant of the lens in the eye]:A: ' \
            '--new-a-constant[A-constant of the new lens (that of the old one assumed)]:A: ' \
            '--from[where the lens lies (bag assumed)\: bag, sulcus, sulcus-captured, sclera, iris-behind, iris-front or chamber]:POSITION:(bag sulcus sulcus-captured sclera iris-behind iris-front chamber)' \
            '--to[where the new lens goes (same place assumed)]:POSITION:(bag sulcus sulcus-captured sclera iris-behind iris-front chamber)' \
            '--piggyback[a second lens in front of the old one instead of an exchange]' \
            '--days[days from the first operation to this refraction]:N: ' \
            '--age[age]:YEARS: ' \
            '--earlier-laser[the cornea had laser or cuts]' \
            '--no-earlier-laser[the cornea is untouched]' \
            '--oil[silicone oil in the eye]' \
            '--no-oil[no silicone oil, now or at the refraction]' \
            '--no-fluid[looked behind the lens\: no trapped fluid]' \
            '--examined[asked and looked\: no red flag, uveitis or glaucoma, the cornea is clear and (without --surface) regular, its surface healthy, the macula normal, the zonule and the opening of the capsule whole, the lens lay in its place at this refraction (the bag, or where --from says), the biometry is this eye'\''s]' \
            '--pressure[eye pressure]:MMHG: ' \
            '--identified[how the lens inside is known\: sticker or record]:BY:(sticker record)' \
            '--method[how it was refracted (manifest, cycloplegic, autorefractor); how its length was measured (optical, immersion-ultrasound, contact-ultrasound)]:HOW: ' \
            '--readings[so many readings agree, the newest on day --days]:N: ' \
            '--repeated[axial length and keratometry were measured again, through the implanted lens, and agree]' \
            '--surface[shape of the cornea\: regular, irregular, ectatic or scarred]:SURFACE:(regular irregular ectatic scarred)' \
            '--haigis[the three Haigis constants of both lenses]:A0,A1,A2: ' \
            '--formula[reference formula\: srk-t, t2, holladay-1, hoffer-q or haigis]:FORMULA:(srk-t t2 holladay-1 hoffer-q haigis)' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '*:value: '
        ;;
    import)
        _arguments -S \
            '--site[lens shelf and local settings]:SITE.json:_files' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--set[with this value changed; null clears it; as often as wanted]:PATH=VALUE: ' \
            '--csv[the inputs are sheets (comma-separated values), whatever their names; template\: the heading row of one]' \
            '--eye[OD, OS, R, L too\: right or left]:EYE:(right left)' \
            '--into[fill the empty keys of this case; a key that holds another value is a fault]:CASE.json:_files' \
            '--sticker[the scanned sticker of the record\: the lens put in, by the site'\''s stock (--site)]:CODE: ' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '*:file:_files'
        ;;
    box)
        _arguments -S \
            '--site[lens shelf and local settings]:SITE.json:_files' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--as-of[day that intervals are counted to (default\: the case'\''s assessed_on)]:DATE: ' \
            '--plan[the plan that was printed, as plan --format json wrote it]:PLAN.json:_files' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '*:value: '
        ;;
    check)
        _arguments -S \
            '--format[text (default) or json]:FORMAT:(text json)' \
            '-f[text (default) or json]:FORMAT:(text json)' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--csv[the inputs are sheets (comma-separated values), whatever their names; template\: the heading row of one]' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '*:file:_files'
        ;;
    template)
        _arguments -S \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--csv[the inputs are sheets (comma-separated values), whatever their names; template\: the heading row of one]' \
            '--short[only the values that decide most, about 25]' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '1:what:(power-error opacity dislocation displaced cylinder photic no-lens two-lenses child past-case site)'
        ;;
    schema)
        _arguments -S \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '1:what:(case site plan recheck summary case-format)'
        ;;
    recheck)
        _arguments -S \
            '--site[lens shelf and local settings]:SITE.json:_files' \
            '--format[text (default), json, html, csv or jsonl]:FORMAT:(text json html csv jsonl)' \
            '-f[text (default), json, html, csv or jsonl]:FORMAT:(text json html csv jsonl)' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--as-of[day that intervals are counted to (default\: the case'\''s assessed_on)]:DATE: ' \
            '--csv[the inputs are sheets (comma-separated values), whatever their names; template\: the heading row of one]' \
            '--jobs[work on N cases at once; the output is the same]:N: ' \
            '--summary[with csv or jsonl\: write the summary there too, as json]:FILE:_files' \
            '--partial[write the counts there, for --merge]:FILE:_files' \
            '--merge[the files are what --partial wrote\: one summary of all]' \
            '--parts[with --merge\: so many parts there must be]:N: ' \
            '--against[what changed since an earlier run wrote OLD.jsonl]:OLD.jsonl:_files' \
            '--fail-on-change[with --against\: exit 5 when a case changed, is gone or stands twice]' \
            '--compare[the same cases under two site files\: errors side by side]:A.json B.json:_files' \
            '--site-constants[constants in a case give way to those of the site file'\''s lens]' \
            '--fit-site[fit constants, depth offset and spreads to the outcomes; write a site file]:OUT:_files' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '*:file:_files'
        ;;
    sources)
        _arguments -S \
            '--format[text (default), json or markdown]:FORMAT:(text json markdown)' \
            '-f[text (default), json or markdown]:FORMAT:(text json markdown)' \
            '--output[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '-o[write there, through a temporary file that is renamed; - is standard output]:FILE:_files' \
            '--help[this help]' \
            '-h[this help]' \
            '--version[the version]' \
            '-V[the version]' \
            '1:what:(formulas constants spreads rates factors shelf risk rules evidence references codes)'
        ;;
    help) _arguments '1:command:(plan ask power import box check template schema recheck sources)' ;;
    esac
}
_iolrevise "$@"
