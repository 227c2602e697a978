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
unset MAKEFLAGS MFLAGS MAKELEVEL prefix bindir libdir includedir datadir mandir docdir
stage="$work/a stage" # a folder with a blank in its name
install_with() { # words of make...
    (umask 077; make BUILD="$build" CC="$cc" OPT="$FLAGS" WHOLE="$WHOLE" CFLAGS= LDFLAGS= DESTDIR="$stage" "$@") >"$work/log" 2>&1 ||
        { tail -5 "$work/log"; fail "make $*"; }
}
install_with PREFIX=/opt/iol LIBDIR=/opt/iol/lib64 install
ln -s "$stage/opt/iol" "$work/iol"
here=$work/iol
[ -z "$(find "$stage/opt" ! -type l ! -perm -444)" ] || fail "files that nobody else can read: $(find "$stage/opt" ! -type l ! -perm -444)"
[ "$(stat -L -c %a "$here/lib64/pkgconfig/iolrevise.pc")" = 644 ] || fail "the mode of iolrevise.pc"
version=$(sed -n 's/.*IOLREVISE_VERSION "\(.*\)"/\1/p' include/iolrevise.h)
for f in bin/iolrevise lib64/libiolrevise.a lib64/libiolrevise.so lib64/libiolrevise.so.0.1 "lib64/libiolrevise.so.$version" \
    lib64/pkgconfig/iolrevise.pc include/iolrevise.h include/iolrevise/case.h share/iolrevise/plan.schema.json share/man/man1/iolrevise.1 \
    share/doc/iolrevise/LICENSE share/doc/iolrevise/examples/host.py share/bash-completion/completions/iolrevise \
    share/zsh/site-functions/_iolrevise share/fish/vendor_completions.d/iolrevise.fish; do
    [ -s "$here/$f" ] || fail "$f is not there"
done
"$here/bin/iolrevise" --version | grep -qx "iolrevise $version" || fail "the version"

# ---- links of the installed pages ----
for page in $(cd "$here/share/doc/iolrevise" && ls *.md */*.md); do
    for link in $(grep -oE '\]\([^)#]+\)' "$here/share/doc/iolrevise/$page" | tr -d '])(' | grep -v '://'); do
        [ -e "$here/share/doc/iolrevise/$(dirname "$page")/$link" ] || fail "$page links to $link, which is not installed"
    done
done

# ---- headers alone ----
cplusplus=$(command -v g++ || command -v clang++)
[ -n "$cplusplus" ] || skip header-cplusplus "no C++ compiler"
for h in iolrevise.h $(cd "$here/include" && ls iolrevise/*.h); do
    printf "#include <%s>\ntypedef int alone;\n" "$h" >"$work/alone.c"
    strict="-Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -I$here/include"
    $cc -std=c11 $strict -c "$work/alone.c" -o "$work/alone.o" || fail "$h alone"
    [ -z "$cplusplus" ] || $cplusplus -x c++ -std=c++11 $strict -c "$work/alone.c" -o "$work/alone.o" || fail "$h alone in C++"
done
# As headers of the system, their own warnings shown too; and macros that a strict host expands.
printf '#include <iolrevise.h>\nstatic iol_case c; static iol_site s; static iol_plan p; static iol_faults f;\n%s\n' \
    'int main(void) { iol_plan_make(&c, &s, 0, &p); return iol_case_read("", 0, &c, &f) && iol_plan_stops(&p) && iol_plan_write(&p, 0, 0); }' \
    >"$work/strict.c"
strict="-isystem $here/include -Wsystem-headers -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Wcast-qual -Wundef
    -Wredundant-decls -Wdouble-promotion -Wfloat-conversion -Wunused-macros -Wswitch-enum -Wmissing-declarations"
only() { grep -E "$here/include|strict.c" "$work/warned" | grep -E 'warning|error' && fail "warnings of the headers: $1"; }
$cc -std=c11 $strict -Wstrict-prototypes -Wmissing-prototypes -c "$work/strict.c" -o "$work/strict.o" 2>"$work/warned" || fail "strict C"
only C
if [ -n "$cplusplus" ]; then
    $cplusplus -x c++ -std=c++17 $strict -Wold-style-cast -Wuseless-cast -c "$work/strict.c" -o "$work/strict.o" 2>"$work/warned" || fail "strict C++"
    only C++
fi

# ---- a host, against the installed library alone ----
if [ -z "$cplusplus" ]; then languages=c; else languages="c c++"; fi
PKG_CONFIG_LIBDIR=$here/lib64/pkgconfig:$(pkg-config --variable pc_path pkg-config)
export PKG_CONFIG_LIBDIR
pkg-config --define-prefix --cflags iolrevise | grep -q cjson && fail "a user is given the folder of the JSON parser"
pkg-config --define-prefix --libs iolrevise | grep -q cjson && fail "a user of the shared library links the JSON parser"
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

# ---- a host compiled with other headers is refused; one in another language ----
cp -r "$here/include" "$work/other"
sed -i 's/^ *NUM *(case, age_years.*/&\nNUM(case, not_ours, d, 0, 1, 0, 1, "of another version")/' "$work/other/iolrevise/case_fields.def"
cmp -s "$work/other/iolrevise/case_fields.def" data/case_fields.def && fail "the same headers"
$cc $FLAGS examples/host.c -o "$work/stranger" -I"$work/other" -L"$here/lib64" -liolrevise -lm || fail "a host of other headers"
LD_LIBRARY_PATH=$here/lib64 "$work/stranger" examples/toric-turned.json >"$work/got" 2>"$work/err"
[ $? != 0 ] && [ ! -s "$work/got" ] || fail "a host of other headers is not refused"
sed 's/if (!iol_case_read(.*/iol_case_reset(\&one_case); if (0) {/; s/iol_plan_stops(&plan)/!iol_plan_stops(\&plan)/' examples/host.c >"$work/bold.c"
$cc $FLAGS "$work/bold.c" -o "$work/stranger" -I"$work/other" -L"$here/lib64" -liolrevise -lm || fail "a host that does not ask"
LD_LIBRARY_PATH=$here/lib64 "$work/stranger" examples/toric-turned.json >"$work/got" 2>"$work/err"
[ $? = 4 ] && [ ! -s "$work/got" ] && grep -q 'no power' "$work/err" && ! grep -q 'stop caution' "$work/err" ||
    fail "a plan of other headers holds a number"
if command -v python3 >/dev/null; then
    case $FLAGS in *sanitize*) ;; *)
        LIBIOLREVISE=$here/lib64/libiolrevise.so.0.1 python3 -B examples/host.py examples/toric-turned.json examples/site.json \
            >"$work/got" 2>"$work/err" || { cat "$work/err"; fail "a host in Python"; }
        "$here/bin/iolrevise" plan examples/toric-turned.json --site examples/site.json --format json >"$work/wanted"
        state=$(sed -n '/"decision"/,/"state"/s/.*"state": "\(.*\)".*/\1/p' "$work/wanted" | head -1)
        grep -qx "decision $state" "$work/got" && grep -qx "library $version" "$work/got" || fail "what a host in Python prints"
        LIBIOLREVISE=$here/lib64/libiolrevise.so.0.1 python3 -B examples/host.py tests/inputs/typing-mistakes.json >"$work/got" 2>"$work/err"
        [ $? = 1 ] && grep -q '^case:[0-9]*: /.*unknown-key' "$work/err" || fail "a host in Python names the faults"
        ;;
    esac
else
    skip recheck-python "no python3"
fi

# ---- what the shared library shows: the public functions and the table of formulas ----
nm -D --defined-only "$here/lib64/libiolrevise.so" | awk '$2 != "A" { print $3 }' | grep '^iol_' | sort >"$work/shown"
nm -D --defined-only "$here/lib64/libiolrevise.so" | awk '$2 ~ /[TDRBV]/ { print $3 }' | grep -vE '^(iol_|__odr_asan|__asan|__gcov)' && fail "a name that is not ours"
{
    grep -hv '^static inline' "$here"/include/iolrevise/*.h | grep -oE '^[a-z].*\biol_[a-z0-9_]+\(' | grep -oE 'iol_[a-z0-9_]+\($' | tr -d '('
    echo iol_formulas
} | sort >"$work/public"
diff "$work/public" "$work/shown" >"$work/difference" || { cat "$work/difference"; fail "what the shared library shows"; }
readelf -d "$here/lib64/libiolrevise.so" | grep -q 'soname: \[libiolrevise.so.0.1\]' || fail "the name of the shared library"
for f in bin/iolrevise lib64/libiolrevise.so; do
    readelf -d "$here/$f" | grep -q 'NOW' && readelf -lW "$here/$f" | grep -q GNU_RELRO || fail "$f: addresses stay writable"
    readelf -lW "$here/$f" | grep GNU_STACK | grep -q 'RW ' || fail "$f: an executable stack"
done
readelf -h "$here/bin/iolrevise" | grep -q 'DYN' || fail "the program stands at one address"

# ---- completion: bash, zsh, fish ----
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
    offers "template" iolrevise t
    offers "help" iolrevise h
    offers "html" iolrevise plan --format h
    offers "html" iolrevise plan -f h
    offers "csv" iolrevise recheck --format c
    offers "power-error photic past-case" iolrevise template p
    offers "recheck" iolrevise schema r
    offers "right" iolrevise power --eye r
    offers "sulcus sulcus-captured sclera" iolrevise power --to s
    offers "sticker" iolrevise power --identified s
    offers "srk-t" iolrevise power --formula s
    offers "markdown" iolrevise sources --format m
    offers "" iolrevise plan examples/
    offers "" iolrevise plan --site ""
else
    skip completion "no bash"
fi
if command -v zsh >/dev/null; then
    zsh -n "$here/share/zsh/site-functions/_iolrevise" || fail "zsh cannot read its completion"
    grep -q -- "--to\[.*:(bag sulcus" "$here/share/zsh/site-functions/_iolrevise" || fail "zsh: values of --to"
else
    skip completion-zsh "no zsh"
fi
if command -v fish >/dev/null; then
    got=$(HOME=$work fish -c "source $here/share/fish/vendor_completions.d/iolrevise.fish; complete -C 'iolrevise power --to s'" | cut -f1 | tr '\n' ' ')
    [ "$got" = "sclera sulcus sulcus-captured " ] || fail "fish: $got"
else
    skip completion-fish "no fish"
fi

# ---- the manual page: no style complaint; its examples run ----
if command -v mandoc >/dev/null; then
    mandoc -Tlint "$here/share/man/man1/iolrevise.1" >"$work/log" 2>&1
    [ ! -s "$work/log" ] || { cat "$work/log"; fail "mandoc -Tlint"; }
else
    skip manual "no mandoc"
fi
top=$(pwd)
mkdir "$work/examples"
sed -n '/^\.Bd/,/^\.Ed/{/^\./d;s/\\e$/\\/;p;}' "$here/share/man/man1/iolrevise.1" | sed 's/\\-/-/g' >"$work/examples/lines"
(
    cd "$work/examples" || exit 1
    PATH=$here/bin:$PATH
    cp "$top/examples/site.json" .
    head -20 "$top/examples/past-cases.jsonl" >cases.jsonl
    head -10 cases.jsonl >a.jsonl
    tail -10 cases.jsonl >b.jsonl
    printf 'iolrevise() { command iolrevise "$@" || exit 1; [ "$1" != template ] || cp "%s/examples/minimal.json" case.json; }\n' "$top" >run
    cat lines >>run
    sh -e run >log 2>&1 && [ -s plan.html ] && [ -s summary.json ] || { cat log; exit 1; }
) || fail "the examples of the manual page"

# ---- uninstalled ----
install_with PREFIX=/opt/iol LIBDIR=/opt/iol/lib64 uninstall
[ -z "$(find "$stage" ! -type d)" ] || { find "$stage" ! -type d; fail "files are left"; }
[ -z "$(find "$stage" -path '*iolrevise*')" ] || { find "$stage" -path '*iolrevise*'; fail "folders are left"; }
# Files of others stay, whatever the folders are called; small letters as well.
install_with prefix=/usr docdir=/usr/share/doc install
[ -x "$stage/usr/bin/iolrevise" ] && [ -s "$stage/usr/share/doc/README.md" ] || fail "prefix= as well as PREFIX="
mkdir -p "$stage/usr/share/doc/docs" "$stage/usr/share/doc/another"
for f in share/doc/another/README share/doc/NOTES share/doc/docs/theirs.md include/iolrevise/theirs.h lib/libiolrevise.so.9; do
    echo theirs >"$stage/usr/$f"
done
install_with prefix=/usr docdir=/usr/share/doc uninstall
[ "$(find "$stage" ! -type d | wc -l)" = 5 ] || { find "$stage" ! -type d; fail "uninstall takes what is not its own, or leaves its own"; }
[ "$failed" = 0 ] && echo "passed install"
exit "$failed"
