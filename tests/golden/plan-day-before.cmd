plan examples/hyperopic-surprise.json --as-of 1999-01-01
