plan tests/inputs/pair-left.json examples/hyperopic-surprise.json
