#!/bin/sh
# axe-core (from the npm registry, kept under the build folder) over every sheet page, of the examples and of the hard cases, 1280 and 400 px wide: no violation. A page made
# bad on purpose shows that one is found. Skips by name without chromium, npm or the package.
build=${BUILD:-build}
skip() { # name, reason
    grep -qx "$1" tests/allowed-skips || { echo "FAILED axe: $1 may not be skipped"; exit 1; }
    echo "SKIP $1: $2"
    exit 0
}
browser=$(command -v chromium) || skip axe "chromium not installed"
axe=$build/axe/package/axe.min.js
if [ ! -f "$axe" ]; then
    command -v npm >/dev/null || skip axe "npm not installed"
    mkdir -p "$build/axe"
    (cd "$build/axe" && npm pack axe-core >/dev/null 2>&1 && tar xzf axe-core-*.tgz) || skip axe "axe-core not to be had"
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
look() { # page, width: one line a violation
    {
        grep -v 'Content-Security-Policy' "$1" | sed 's,</body>,,; s,</html>,,'
        echo '<script>'
        cat "$axe"
        echo '</script><script>axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "best-practice"]})
            .then(r => { const p = document.createElement("pre"); p.id = "axe"; p.textContent = ["looked"].concat(r.violations.map(v =>
            v.id + ": " + v.nodes.length + ": " + v.nodes[0].html.slice(0, 90).split(String.fromCharCode(10)).join(" ")), ["end"])
            .join(String.fromCharCode(10));
            document.body.append(p); });</script></body></html>'
    } >"$work/page.html"
    "$browser" --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking --user-data-dir="$work/profile" \
        --virtual-time-budget=60000 --window-size="$2",1200 --dump-dom "file://$work/page.html" 2>/dev/null >"$work/dom"
    sed -n '/<pre id="axe">/,/<\/pre>/p' "$work/dom" | sed 's/.*<pre id="axe">//; s/<.pre>.*//; /^$/d'
}
echo '<!DOCTYPE html><html lang="en"><head><title>bad</title></head><body><main><h1>Bad</h1><img src="x.png"></main></body></html>' >"$work/bad.html"
look "$work/bad.html" 1280 | grep -q '^image-alt' || { echo "FAILED axe: a picture without words is not found"; exit 1; }
pages=0
mkdir "$work/hard"
"$build/tests/tools/hard_cases" "$work/hard" || { echo "FAILED axe: hard cases"; failed=1; }
for case in examples/*.json "$work"/hard/*.json past-cases; do
    name=$(basename "$case" .json)
    [ "$name" = site ] && continue
    if [ "$name" = past-cases ]; then
        "$build/iolrevise" recheck examples/past-cases.jsonl --format html >"$work/$name.html" 2>/dev/null
    else
        "$build/iolrevise" plan "$case" --site examples/site.json --format html >"$work/$name.html" 2>/dev/null
    fi
    for width in 1280 400; do
        look "$work/$name.html" $width >"$work/found"
        [ "$(head -1 "$work/found")" = looked ] || { echo "FAILED axe: $name was not looked at"; failed=1; }
        grep -vE '^(looked|end)$' "$work/found" | sed "s/^/FAILED axe: $name, $width px: /" >"$work/wrong"
        [ -s "$work/wrong" ] && cat "$work/wrong" && failed=1
        pages=$((pages + 1))
    done
    [ -z "$ONE" ] || break
done
[ "$failed" = 0 ] && echo "passed axe: $pages looks"
exit $failed
