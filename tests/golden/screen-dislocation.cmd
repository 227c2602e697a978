plan examples/dislocation.json --site examples/site.json
