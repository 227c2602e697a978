plan examples/hyperopic-surprise.json --site examples/site.json --what-if target_se_d=-0.5 --what-if biometry.axial_length_mm=23.9,refractions.1.sphere_d=2
