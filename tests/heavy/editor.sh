#!/bin/sh
# What an editor does with "$schema": the JSON language service of the npm registry (kept under the build folder), without an editor. Skips by
# name without node, npm or the package.
build=${BUILD:-build}
skip() {
    grep -qx editor tests/allowed-skips || { echo "FAILED editor may not be skipped"; exit 1; }
    echo "SKIP editor: $1"
    exit 0
}
command -v node >/dev/null || skip "node not installed"
if [ ! -d "$build/editor/node_modules/vscode-json-languageservice" ]; then
    command -v npm >/dev/null || skip "npm not installed"
    mkdir -p "$build/editor"
    (cd "$build/editor" && npm init -y && npm install vscode-json-languageservice vscode-languageserver-textdocument) >/dev/null 2>&1 ||
        skip "the language service is not to be had"
fi
for kind in case site; do "$build/iolrevise" schema $kind --output "$build/editor/$kind.schema.json" || exit 1; done
NODE_PATH=$build/editor/node_modules exec node tests/heavy/editor.js "$build/editor"
