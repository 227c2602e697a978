plan examples/hyperopic-surprise.json --site examples/site.json --set target_se_d=-0.5 --set complaint.trend=worse --only decide,theatre,note
