#!/bin/sh
# Every example's plan and the summary of the past cases in a real browser: on a desk, a tablet and a telephone, and on paper.
# browser_measure.js says what is measured; a page made bad on purpose shows that it is found. Writes docs/runs/browser.tsv.
build=${BUILD:-build}
program=$build/iolrevise
skip() { # name, reason
    grep -qx "$1" tests/allowed-skips || { echo "FAILED browser: $1 may not be skipped"; exit 1; }
    echo "SKIP $1: $2"
    exit 0
}
browser=$(command -v chromium) || skip browser "chromium not installed"
for tool in pdfinfo pdftotext; do command -v $tool >/dev/null || skip browser "$tool not installed"; done
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
fail() { echo "FAILED browser: $1"; failed=$((failed + 1)); }
browse() { # arguments of the browser
    "$browser" --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking \
        --disable-component-update --disable-sync --user-data-dir="$work/profile" "$@" 2>/dev/null
}
measuring() { # folder of pages, frames: $work/measure.html
    {
        echo '<!DOCTYPE html><html lang="en"><meta charset="utf-8"><title>measuring</title><body><script>'
        echo "const frames = [$2]; const pages = {"
        for p in "$1"/*.html; do printf '"%s": "%s",\n' "$(basename "$p" .html)" "$(base64 -w0 "$p")"; done
        echo '};</script><script>'
        cat tests/heavy/browser_measure.js
        echo '</script></body></html>'
    } >"$work/measure.html"
}
measure() { # folder of pages: findings on standard output
    # Four screens and the dark one, px; two papers, mm; then the reader's own colours.
    measuring "$1" '["desktop", 1280, "screen"], ["tablet", 820, "screen"], ["phone", 400, "screen"], ["small phone", 320, "screen"],
        ["dark", 820, "dark"], ["A4", 210, "print"], ["Letter", 215.9, "print"]'
    browse --virtual-time-budget=600000 --window-size=1400,1000 --dump-dom "file://$work/measure.html" >"$work/dom"
    sed -n '/<pre id="findings">/,/<\/pre>/{s/.*<pre id="findings">//;s/<[^>]*>//g;/./p}' "$work/dom"
    for scheme in light dark; do
        measuring "$1" "[\"forced $scheme\", 820, \"forced\"]"
        python3 tests/heavy/browser_drive.py "$browser" forced "$work/measure.html" $scheme | grep -v '^measured|'
    done
}
all_measured() { # findings: the three runs came to their end
    [ "$(grep -cx end "$1")" = 3 ]
}
paper() { # pages: each printed to $work/paper/NAME-A4.pdf and -Letter.pdf, in one run of the browser
    rm -rf "$work/paper"
    mkdir "$work/paper"
    for p; do
        name=$(basename "$p" .html)
        for size in A4 Letter; do
            sed "s,</head>,<style>@page { size: $size }</style></head>," "$p" >"$work/paper/$name-$size.html"
            echo "$work/paper/$name-$size.html $work/paper/$name-$size.pdf"
        done
    done >"$work/list"
    python3 tests/heavy/browser_drive.py "$browser" print <"$work/list" >"$work/console"
}
printed() { # name, paper: $pdf and its $sheets; what the console said is a fault
    pdf=$work/paper/$1-$2.pdf
    said=$(grep -F "$pdf: " "$work/console" | head -1)
    [ -z "$said" ] || fail "$1: console: ${said#*: }"
    sheets=$(pdfinfo "$pdf" 2>/dev/null | awk '/^Pages:/ { print $2 }')
    sheets=${sheets:-0}
}
# Decide, theatre card and patient are one printed sheet each, in this order, before the tables.
one_sheet_each() { # page, paper
    at=0
    for sheet in decide theatre patient tables; do
        grep -q "<section class=\"sheet $sheet[ \"]" "$1" || continue
        at=$((at + 1))
        case $sheet in
        decide) mark='Decision support for licensed surgeons;' ;;
        theatre) mark='said aloud and checked: surgeon\|NOT TO BE SIGNED' ;;
        patient) mark='Whom to call\|Wen rufen Sie an' ;;
        tables) mark='Tables: what it is built on' ;;
        esac
        pdftotext -f $at -l $at "$pdf" - | tr '\n' ' ' | grep -q "$mark" ||
            fail "$(basename "$1" .html): the end of $sheet is not on sheet $at of $2"
    done
}
# Words of the last printed page set that do not lie on the paper.
off_paper() {
    pdftotext -bbox "$pdf" - | awk -F'"' '/<page / { w = $2; h = $4 }
        /<word / && ($2 < 1 || $4 < 1 || $6 > w - 1 || $8 > h - 1) { gsub(/.*>/, "", $9); print $0; exit }'
}

# ---- pages made bad on purpose: each must be found ----
mkdir "$work/bad" "$work/pages" "$work/hard"
offends() { # what must be found, file; the body on standard input
    {
        echo '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>bad</title></head><body><h1>Bad</h1>'
        cat
        echo '</body></html>'
    } >"$work/bad/$2.html"
    echo "$2|$1" >>"$work/must"
}
svg='<svg viewBox="0 0 300 100" width="300" height="100">'
said='<title>t</title><desc>d</desc>'
echo '<div style="width:3000px">wide</div>' | offends 'overflow' wide
echo '<div style="width:5em;overflow:hidden;white-space:nowrap">a long line that is cut</div>' | offends 'cut off' cut
echo '<details><summary>more</summary><p style="width:3000px">wide</p></details>' | offends 'overflow: beyond the window: p ' fold
echo '<p style="color:#888">pale</p>' | offends 'contrast 3\.54: p ' pale
echo '<div style="background:#333"><p style="color:#555">dark</p></div>' | offends 'contrast' dark
echo '<style>@media screen and (prefers-color-scheme: dark) { p { color: #555; background: #444 } }</style><p>night</p>' | offends 'contrast' night
echo '<h1>Again</h1>' | offends '2 headings of level 1' twice
echo '<h3>Deep</h3>' | offends 'heading of level 3 after level 1' deep
echo '<table><tr><th>a</th></tr></table>' | offends 'a head without scope' scope
echo '<table><tr><td>a</td></tr></table>' | offends 'a table without heads' heads
echo '<table style="border-spacing:0"><tr><th scope="col">a</th><th scope="col" style="padding:0 9px">b</th></tr><tr><td style="text-align:right;padding:0">1.50</td><td style="padding:0">why</td></tr></table>' |
    offends 'columns run together: td "1.50"' columns
echo "<table><tr><th scope='col' class='strip'>$svg$said</svg></th></tr><tr><td class='strip' style='padding-left:40px'>$svg$said</svg></td></tr></table>" |
    offends 'strips on two scales' strips
echo "$svg<desc>d</desc></svg>" | offends 'a figure without title' title
echo "$svg<title> </title><desc></desc></svg>" | offends 'a figure without desc' desc
echo "$svg$said<text x='290' y='50'>+1.50 D</text></svg>" | offends 'outside its figure: text' outside
echo "$svg$said<rect x='-5' y='5' width='9' height='9'/></svg>" | offends 'outside its figure: rect' shape
echo "$svg$said<text x='9' y='50'>one</text><text x='20' y='52'>two</text></svg>" | offends 'labels overlap' overlap
echo "$svg$said<text x='9' y='50'>7.25</text></svg>" | offends 'number 7.25 of a figure stands in no table' number
echo "$svg$said<text x='9' y='50'>turn</text><text x='36' y='50'>wound</text></svg>" | offends 'labels run together' together
echo '<section class="theatre"><p class="huge" style="font-size:40pt">+21.0 D</p></section>' | offends 'type 40\.0 pt, wanted 62' type
echo '<section class="patient"><p style="font-size:10pt">small print</p></section>' | offends 'type 10\.0 pt, wanted 12' print
echo "<style>svg { forced-color-adjust: none } @media (forced-colors: active) { svg text { fill: Canvas } }</style>$svg$said<text x='9' y='50'>gone</text></svg>" |
    offends 'contrast 1\.00: text' forced
echo "$svg$said<rect width='99' height='99' fill='#444'/><text x='9' y='50'>on</text></svg>" | offends 'contrast' figure
echo "$svg$said<text x='9' y='50' font-size='5'>tiny</text></svg>" | offends 'small, 5.0 px' small
echo "$svg$said<text x='9' y='50' visibility='hidden'>gone</text></svg>" | offends 'not visible' hidden
measure "$work/bad" >"$work/found"
all_measured "$work/found" || fail "the bad pages were not measured: $(tail -1 "$work/found")"
while IFS='|' read -r page what; do
    grep -q "^$page|[^|]*|$what" "$work/found" || fail "not found in the bad page $page: $what"
done <"$work/must"
echo '<!DOCTYPE html><html><head></head><body><script>console.error("no")</script></body></html>' >"$work/loud.html"
echo '<!DOCTYPE html><html><head></head><body><style>@page { margin: 0 }</style><p style="position:absolute;left:-9px">off</p></body></html>' >"$work/off.html"
echo '<!DOCTYPE html><html><head></head><body><section class="sheet decide"><p style="height:400mm">long</p>Decision support for licensed surgeons;</section></body></html>' >"$work/long.html"
paper "$work/loud.html" "$work/off.html" "$work/long.html"
(failed=0; printed loud A4 >/dev/null; [ "$failed" = 1 ]) || fail "a message on the console is not found"
printed off A4
[ -n "$(off_paper)" ] || fail "a word off the paper is not found"
printed long A4
(failed=0; one_sheet_each "$work/long.html" A4 >/dev/null; [ "$failed" = 1 ]) || fail "a sheet of two pages is not found"

# ---- the program's pages ----
"$build/tests/tools/hard_cases" "$work/hard" || fail "hard cases"
for case in examples/*.json "$work"/hard/*.json; do
    name=$(basename "$case" .json)
    [ "$name" = site ] || "$program" plan "$case" --site examples/site.json --format html --output "$work/pages/$name.html" 2>/dev/null
done
"$program" plan examples/dislocation.json --site examples/site.json --format html --language de --output "$work/pages/dislocation-de.html" 2>/dev/null
"$program" recheck examples/past-cases.jsonl --format html --output "$work/pages/past-cases.html" || fail "recheck"
measure "$work/pages" >"$work/found"
all_measured "$work/found" || fail "not all pages were measured: $(tail -1 "$work/found")"
grep -vE '^(measured\||end$)' "$work/found" >"$work/wrong" && fail "found in the pages:" && sed 's/^/  /' "$work/wrong"
paper "$work"/pages/*.html
for page in "$work"/pages/*.html; do
    name=$(basename "$page" .html)
    before=$failed
    for size in A4 Letter; do
        printed "$name" $size
        echo "$name $size $sheets" >>"$work/sheets"
        [ -z "$(off_paper)" ] || fail "$name on $size: off the paper: $(off_paper)"
        case $name/$sheets in past-cases/[1-9] | */[3-9] | */1[0-6]) ;; *) fail "$name: $sheets pages of $size" ;; esac
        one_sheet_each "$page" $size
    done
    grep -q "^$name|" "$work/wrong" && result=failed || result=passed
    [ "$failed" = "$before" ] || result=failed
    echo "$name $result" >>"$work/results"
done

# ---- what was seen, for docs/runs/browser.tsv ----
{
    printf 'date\tcommit\tbrowser\tpage\tfigures\ttexts_in_figures\tsheets_a4\tsheets_letter\tresult\n'
    while read -r name result; do
        figures=$(awk -F'|' -v p="$name" '$1 == "measured" && $2 == p { print $3 "\t" $4 }' "$work/found")
        sheets=$(awk -v p="$name" '$1 == p { print $3 }' "$work/sheets" | paste -s)
        printf '%s\t%s\t%s\t%s\t%s\t%s\t%s\n' "$(date -u +%Y-%m-%d)" "$(git rev-parse --short HEAD)" \
            "$("$browser" --version 2>/dev/null | awk '{ print $1, $2 }')" "$name" "$figures" "$sheets" "$result"
    done <"$work/results"
} >"$work/browser.tsv"
mkdir -p docs/runs
cp "$work/browser.tsv" docs/runs/browser.tsv
[ "$failed" = 0 ] && echo "passed browser runs: $(wc -l <"$work/results") pages, on screen 1280, 820, 400 and 320 px wide, dark, in forced colours, on A4 and Letter"
[ "$failed" = 0 ]
