plan examples/toric-turned.json --site examples/site.json --only theatre,note,timing
