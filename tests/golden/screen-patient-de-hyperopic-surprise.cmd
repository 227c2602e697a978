plan examples/hyperopic-surprise.json --site examples/site.json --only patient --language de
