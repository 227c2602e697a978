#!/bin/sh
# The archive of `make dist`: the same bytes twice; unpacked elsewhere it builds the same program, passes its tests, installs, and
# uninstalls leaving nothing. Run by `make distcheck`.
top=$(pwd)
build=$top/${BUILD:-build}
version=$(sed -n 's/.*IOLREVISE_VERSION "\(.*\)"/\1/p' include/iolrevise.h)
archive=$build/iolrevise-$version.tar.gz
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
fail() { echo "FAILED dist: $1"; exit 1; }
unset MAKEFLAGS MFLAGS MAKELEVEL
git rev-parse --git-dir >/dev/null 2>&1 || fail "not a working copy of the project"
make -s BUILD="$build" dist || fail "make dist"
cp "$archive" "$work/first"
sleep 1
(umask 077; TZ=Pacific/Apia make -s BUILD="$build" dist) || fail "make dist"
cmp -s "$work/first" "$archive" || fail "the archive is not the same twice"
for folder in one another; do
    mkdir "$work/$folder"
    tar -xzf "$archive" -C "$work/$folder" || fail "tar"
    (cd "$work/$folder/iolrevise-$version" && make -j2) >"$work/log" 2>&1 || { tail "$work/log"; fail "make"; }
done
for f in iolrevise libiolrevise.a libiolrevise.so.$version; do
    cmp -s "$work/one/iolrevise-$version/build/$f" "$work/another/iolrevise-$version/build/$f" || fail "$f depends on the folder it is built in"
done
cd "$work/one/iolrevise-$version" || exit 1
ls -A | sort | tr '\n' ' ' >"$work/top"
begun=$(date +%s)
make test >"$work/log" 2>&1 || { grep -v '^passed' "$work/log" | tail -20; fail "make test"; }
suite=$(($(date +%s) - begun))
grep '^SKIP' "$work/log"
make DESTDIR="$work/stage" install >"$work/log" 2>&1 || { tail "$work/log"; fail "make install"; }
[ -x "$work/stage/usr/local/bin/iolrevise" ] || fail "nothing installed"
installed=$(find "$work/stage" ! -type d | wc -l)
strip -o "$work/program" build/iolrevise
strip -o "$work/library" "build/libiolrevise.so.$version"
make DESTDIR="$work/stage" uninstall >"$work/log" 2>&1 || fail "make uninstall"
[ -z "$(find "$work/stage" ! -type d)" ] || fail "uninstall leaves files"
make clean >/dev/null && [ "$(ls -A | sort | tr '\n' ' ') " = "$(sed 's/build //' "$work/top") " ] || fail "make clean leaves something: $(ls -A)"
cd "$top" || exit 1
table=docs/runs/dist.tsv
[ -e $table ] || printf 'date\tcommit\tcompiler\tarchive_bytes\tprogram_bytes\tlibrary_bytes\tsuite_s\tinstalled\tleft\n' >$table
printf '%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n' "$(date -u +%F)" "$(git rev-parse --short HEAD)" "$(${CC:-cc} --version | head -1)" \
    "$(wc -c <"$archive")" "$(wc -c <"$work/program")" "$(wc -c <"$work/library")" $suite "$installed" 0 >>$table
echo "passed dist: $(basename "$archive") $(sha256sum "$archive" | cut -c1-16)"
