plan examples/minimal.json --site examples/site.json
