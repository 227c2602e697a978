check "$(printf 'no\033[31mfile\n.json')"
