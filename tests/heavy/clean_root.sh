#!/bin/sh
# clean_root.sh [MIRROR]: both commands of README.md, word for word, each in its own fresh minimal Debian root with nothing else
# installed; the project as it is committed. The mirror and release are this machine's own unless given. Needs root, debootstrap
# and a network; appends what it took to docs/runs/clean_root.tsv. Part of `make check-all`.
skip() { echo "SKIP clean-root: $1"; exit 0; }
fail() { echo "FAILED clean-root: $1"; exit 1; }
[ "$(id -u)" = 0 ] || skip "not root"
command -v debootstrap >/dev/null || skip "no debootstrap"
. /etc/os-release
[ -n "$VERSION_CODENAME" ] || skip "no release name"
mirror=${1:-$(apt-get indextargets --format '$(REPO_URI) $(CODENAME) $(COMPONENT)' 'Created-By: Packages' 2>/dev/null |
    awk -v release="$VERSION_CODENAME" '$2 == release && $3 == "main" { print $1; exit }')}
[ -n "$mirror" ] || skip "no mirror"
unshare --mount true 2>/dev/null || skip "no own mounts"

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
table=docs/runs/clean_root.tsv
seconds() { date +%s; }
begun=$(seconds)
debootstrap --variant=minbase "$VERSION_CODENAME" "$work/base" "$mirror" >"$work/log" 2>&1 || { tail -5 "$work/log"; fail "debootstrap"; }
echo "debootstrap: $(($(seconds) - begun)) s"
[ -e $table ] || printf 'date\tcommit\trelease\tcommand\tinstall_s\tall_s\tpackages\n' >$table
for which in main test; do
    command=$(awk -v mark="<!-- $which command -->" '$0 == mark { want = 1 } want && /^```/ { if (inside) exit; inside = 1; next } inside' README.md)
    [ -n "$command" ] || fail "no $which command in README.md"
    root=$work/$which
    cp -a "$work/base" "$root"
    mkdir "$root/project"
    git archive HEAD | tar -x -C "$root/project"
    { echo 'cd /project'; printf '%s\n' "$command"; } >"$root/command"
    before=$(chroot "$root" dpkg-query -f '.\n' -W | wc -l)
    begun=$(seconds)
    # mounts in a name space of their own: gone with the command
    unshare --mount --pid --fork sh -c 'mount --make-rprivate / && mount -t proc proc "$1/proc" && exec chroot "$1" \
        env -i PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin HOME=/root \
        ${http_proxy:+http_proxy=$http_proxy} sh -e /command' sh "$root" >"$work/log" 2>&1 </dev/null ||
        { tail -30 "$work/log"; fail "the $which command"; }
    all=$(($(seconds) - begun))
    # the last file that the package tool wrote tells when it was done
    install=$(($(stat -c %Y "$root/var/log/dpkg.log") - begun))
    after=$(chroot "$root" dpkg-query -f '.\n' -W | wc -l)
    grep '^SKIP' "$work/log"
    case $which in
    main) grep -qi 'decision' "$work/log" || fail "no plan was printed" ;;
    test) grep -qx 'all tests passed' "$work/log" || fail "the tests did not end" ;;
    esac
    printf '%s\t%s\t%s\t%s\t%s\t%s\t%s\n' "$(date -u +%F)" "$(git rev-parse --short HEAD)" "$VERSION_CODENAME" $which "$install" "$all" \
        $((after - before)) >>$table
    echo "$which command: $all s, of it $install s for $((after - before)) packages"
    rm -rf "$root"
done
echo "passed clean-root"
