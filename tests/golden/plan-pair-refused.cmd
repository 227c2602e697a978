plan examples/lens-opacity.json examples/hyperopic-surprise.json
