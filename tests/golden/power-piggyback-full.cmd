power --piggyback --eye right --implanted 21.0 --refraction "+3.25 -0.50 x 80" --target -0.25 --vertex 12 --k 43.5 --age 70 --days 60 --no-oil --no-earlier-laser --no-fluid --full
