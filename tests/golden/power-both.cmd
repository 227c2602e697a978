power --eye right --implanted 21.0 --refraction "+1.00" --target -0.25 --oil --no-oil --earlier-laser --no-earlier-laser
