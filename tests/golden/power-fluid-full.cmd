power --eye right --implanted 21.0 --refraction "-2.25" --target -0.25 --days 40 --full
