plan examples/dislocation.json --site examples/site.json --only patient --language de
