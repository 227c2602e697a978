power --eye right --implanted 21.0 --refraction "+2.25 -0.75 x 80" --target -0.25 --full
