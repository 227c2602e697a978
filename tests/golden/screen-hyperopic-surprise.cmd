plan examples/hyperopic-surprise.json --site examples/site.json
