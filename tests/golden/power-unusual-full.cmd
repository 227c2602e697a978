power --eye right --implanted 4 --refraction "+1.00" --target -0.25 --k 57 --length 32 --a-constant 118.4 --age 8 --days 40 --no-earlier-laser --full
