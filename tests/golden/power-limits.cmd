power --eye lft --implanted 210 --refraction "+1.00" --target -0.25 --k 7.7 --length 231 --from bg
