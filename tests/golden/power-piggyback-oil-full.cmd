power --piggyback --eye right --implanted 21.0 --refraction "+3.25 -0.50 x 80" --target -0.25 --vertex 12 --days 60 --oil --full
