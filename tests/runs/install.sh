#!/bin/sh
# What `make install` leaves: every file in its place, found through pkg-config; a host program that links it, shared and static;
# headers that stand alone in C and C++; a shared library that shows its public names and no other; completion; nothing after
# `make uninstall`. Run by `make test`.
build=${BUILD:-build}
cc=${CC:-cc}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
fail() { echo "FAILED install: $1"; failed=1; }
skip() { # name, reason
    grep -qx "$1" tests/allowed-skips || fail "$1 may not be skipped"
    echo "SKIP $1: $2"
}
unset MAKEFLAGS MFLAGS MAKELEVEL
make BUILD="$build" CC="$cc" OPT="$FLAGS" WHOLE="$WHOLE" CFLAGS= LDFLAGS= DESTDIR="$work/stage" PREFIX=/opt/iol LIBDIR=/opt/iol/lib64 install \
    >"$work/log" 2>&1 || { tail -5 "$work/log"; fail "make install"; }
here=$work/stage/opt/iol
version=$(sed -n 's/.*IOLREVISE_VERSION "\(.*\)"/\1/p' include/iolrevise.h)
for f in bin/iolrevise lib64/libiolrevise.a lib64/libiolrevise.so lib64/libiolrevise.so.0 "lib64/libiolrevise.so.$version" \
    lib64/pkgconfig/iolrevise.pc include/iolrevise.h include/iolrevise/case.h share/iolrevise/plan.schema.json share/man/man1/iolrevise.1 \
    share/doc/iolrevise/LICENSE share/bash-completion/completions/iolrevise; do
    [ -s "$here/$f" ] || fail "$f is not there"
done
"$here/bin/iolrevise" --version | grep -qx "iolrevise $version" || fail "the version"

# ---- headers alone ----
cplusplus=$(command -v g++ || command -v clang++)
[ -n "$cplusplus" ] || skip header-cplusplus "no C++ compiler"
for h in iolrevise.h $(cd "$here/include" && ls iolrevise/*.h); do
    printf "#include <%s>\ntypedef int alone;\n" "$h" >"$work/alone.c"
    strict="-Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -I$here/include"
    $cc -std=c11 $strict -c "$work/alone.c" -o "$work/alone.o" || fail "$h alone"
    [ -z "$cplusplus" ] || $cplusplus -x c++ -std=c++11 $strict -c "$work/alone.c" -o "$work/alone.o" || fail "$h alone in C++"
done

# ---- a host, against the installed library alone ----
if [ -z "$cplusplus" ]; then languages=c; else languages="c c++"; fi
PKG_CONFIG_LIBDIR=$here/lib64/pkgconfig:$(pkg-config --variable pc_path pkg-config)
export PKG_CONFIG_LIBDIR
"$here/bin/iolrevise" plan examples/toric-turned.json --format json >"$work/wanted"
for how in shared static; do
    for language in $languages; do
        compiler=$cc
        [ $language = c ] || compiler=$cplusplus
        flags=$(pkg-config --define-prefix --cflags --libs iolrevise) || fail "pkg-config"
        [ $how = shared ] || flags="$(pkg-config --define-prefix --cflags iolrevise) $here/lib64/libiolrevise.a $(pkg-config \
            --define-prefix --libs --static iolrevise | sed 's/-liolrevise//')"
        $compiler $FLAGS -x $language examples/host.c -x none -o "$work/host" $flags -lm || fail "a $how host in $language"
        LD_LIBRARY_PATH=$here/lib64 "$work/host" examples/toric-turned.json >"$work/got" 2>"$work/err" || fail "a $how host runs"
        cmp -s "$work/wanted" "$work/got" || fail "the plan of a $how host in $language"
    done
done
LD_LIBRARY_PATH=$here/lib64 "$work/host" tests/inputs/typing-mistakes.json >/dev/null 2>"$work/err" && fail "a host refuses"
grep -q 'typing-mistakes.json:[0-9]' "$work/err" || fail "a host names the fault"

# ---- what the shared library shows: the public functions and the table of formulas ----
nm -D --defined-only "$here/lib64/libiolrevise.so" | awk '$2 != "A" { print $3 }' | grep '^iol_' | sort >"$work/shown"
nm -D --defined-only "$here/lib64/libiolrevise.so" | awk '$2 ~ /[TDRBV]/ { print $3 }' | grep -vE '^(iol_|__odr_asan|__asan|__gcov)' && fail "a name that is not ours"
{
    grep -hv '^static inline' "$here"/include/iolrevise/*.h | grep -oE '^[a-z].*\biol_[a-z0-9_]+\(' | grep -oE 'iol_[a-z0-9_]+\($' | tr -d '('
    echo iol_formulas
} | sort >"$work/public"
diff "$work/public" "$work/shown" >"$work/difference" || { cat "$work/difference"; fail "what the shared library shows"; }
readelf -d "$here/lib64/libiolrevise.so" | grep -q 'soname: \[libiolrevise.so.0\]' || fail "the name of the shared library"
for f in bin/iolrevise lib64/libiolrevise.so; do
    readelf -d "$here/$f" | grep -q 'NOW' && readelf -lW "$here/$f" | grep -q GNU_RELRO || fail "$f: addresses stay writable"
    readelf -lW "$here/$f" | grep GNU_STACK | grep -q 'RW ' || fail "$f: an executable stack"
done
readelf -h "$here/bin/iolrevise" | grep -q 'DYN' || fail "the program stands at one address"

# ---- completion ----
complete() { # words...: what is offered for the last
    bash -c '. "$0"; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _iolrevise; echo "${COMPREPLY[@]}"' \
        "$here/share/bash-completion/completions/iolrevise" "$@"
}
offers() { # wanted, words...
    wanted=$1; shift
    got=$(complete "$@")
    [ "$got" = "$wanted" ] || fail "completion of $*: $got"
}
if command -v bash >/dev/null; then
    offers "plan power" iolrevise p
    offers "--site --strict --set" iolrevise plan --s
    offers "html" iolrevise plan --format h
    offers "csv" iolrevise recheck --format c
    offers "power-error photic past-case" iolrevise template p
    offers "" iolrevise plan examples/
    offers "" iolrevise plan --site ""
else
    skip completion "no bash"
fi

# ---- uninstalled ----
make DESTDIR="$work/stage" PREFIX=/opt/iol LIBDIR=/opt/iol/lib64 uninstall >"$work/log" 2>&1 || fail "make uninstall"
[ -z "$(find "$work/stage" ! -type d)" ] || { find "$work/stage" ! -type d; fail "files are left"; }
[ "$failed" = 0 ] && echo "passed install"
exit "$failed"
