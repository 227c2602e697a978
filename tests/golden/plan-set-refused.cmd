plan examples/minimal.json --set biometry.axial_lenght_mm=23 --set age_years=7O
