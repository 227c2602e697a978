plan examples/displaced.json --site examples/site.json --only displaced,reposition
