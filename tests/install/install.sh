#!/bin/sh
# sh install.sh CMAKE BUILD CC VERSION [LUA]: installs BUILD to a scratch folder and uses what is
# there as a stranger would.
set -eu
cmake=$1 build=$2 cc=$3 version=$4 lua=${5-}
here=$(cd "$(dirname "$0")" && pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
prefix=$scratch/prefix

fail() {
    echo "install: $*" >&2
    exit 1
}

# Runs a program of a stranger.
says_version() {
    said=$(env LD_LIBRARY_PATH="$libdir" "$@") || fail "$1 does not run"
    [ "${said%%
*}" = "strapline $version" ] || fail "$1 says '$said'"
}

"$cmake" --install "$build" --prefix "$prefix" >"$scratch/log" || fail "cmake --install"
pc=$(find "$prefix" -name strapline.pc)
libdir=$(dirname "$(dirname "$pc")")

# CMake: this version, not a newer one.
configure() {
    "$cmake" -S "$here/stranger" -B "$scratch/$1" -DWANTED="$2" -DCMAKE_C_COMPILER="$cc" \
        -DCMAKE_PREFIX_PATH="$prefix" -DCMAKE_BUILD_TYPE=Release >"$scratch/log" 2>&1
}
configure now "$version" || fail "find_package: $(cat "$scratch/log")"
"$cmake" --build "$scratch/now" >"$scratch/log" 2>&1 || fail "build: $(cat "$scratch/log")"
for library in static shared strapline; do
    says_version "$scratch/now/stranger_$library"
done
configure newer 99.0 && fail "version 99.0 was accepted"

# pkg-config, shared and static. Its words are split on purpose.
export PKG_CONFIG_PATH="${pc%/*}"
[ "$(pkg-config --modversion strapline)" = "$version" ] || fail "pkg-config --modversion"
# shellcheck disable=SC2046
"$cc" -o "$scratch/shared" "$here/stranger/stranger.c" $(pkg-config --cflags --libs strapline)
says_version "$scratch/shared"
rm "$libdir"/libstrapline.so*
# shellcheck disable=SC2046
"$cc" -o "$scratch/static" "$here/stranger/stranger.c" \
    $(pkg-config --static --cflags --libs strapline)
says_version "$scratch/static"

# Lua and the program.
if [ -n "$lua" ]; then
    said=$(LUA_PATH="$prefix/share/lua/5.4/?.lua;$prefix/share/lua/5.4/?/init.lua" \
        LUA_CPATH="$prefix/lib/lua/5.4/?.so" "$lua" -e 'print(type(require "strapline"))')
    [ "$said" = table ] || fail "require \"strapline\": '$said'"
    says_version "$prefix/bin/strapline" --version
    # The vehicles of the tree, all of them, and the program finds nothing missing.
    for circuit in "$here"/../../circuits/*.lua; do
        installed=$prefix/share/strapline/circuits/${circuit##*/}
        [ -s "$installed" ] || fail "no circuit ${circuit##*/}"
        "$prefix/bin/strapline" predict "$installed" >"$scratch/log" ||
            fail "predict ${circuit##*/}"
    done
    [ ! -e "$prefix/share/strapline/circuits/bad" ] || fail "circuits with mistakes are installed"
    for page in man1/strapline.1 man7/strapline-parts.7; do
        [ -s "$prefix/share/man/$page" ] || fail "no manual page $page"
    done
fi
