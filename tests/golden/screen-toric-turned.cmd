plan examples/toric-turned.json --site examples/site.json
