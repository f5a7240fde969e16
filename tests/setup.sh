# shellcheck shell=sh
# tests/setup.sh: what tests/run.sh and circuits/run.sh share; they source it with $root set to the
# top of the tree.

say() {
    echo "$*" >&2
}

# need PACKAGE...: installs those Debian packages that are not there, and what it takes to build the
# library, the module and the program.
need() {
    command -v dpkg-query >/dev/null || return 0 # not a Debian: CMake says what it misses
    missing=
    for package in gcc libc6-dev cmake ninja-build libsuitesparse-dev liblua5.4-dev "$@"; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q ' installed$' ||
            missing="$missing $package"
    done
    [ -z "$missing" ] && return
    as_root=
    if [ "$(id -u)" -ne 0 ]; then
        as_root='sudo -n'
        if ! sudo -n true 2>/dev/null; then
            say "not root, and sudo asks for a password. Please run first:"
            say "  sudo apt-get install --no-install-recommends$missing"
            exit 2
        fi
    fi
    say "installing$missing"
    log=$(mktemp)
    # shellcheck disable=SC2086 # words on purpose
    if ! { $as_root apt-get update && $as_root env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y --no-install-recommends $missing; } >"$log" 2>&1; then
        cat "$log" >&2
        say "apt-get could not install:$missing"
        exit 2
    fi
    rm -f "$log"
}

# build FOLDER TARGET OPTION...: configures and builds below build/. An old build that no longer
# fits, for the tree has moved or the compiler is another, is made anew.
build() {
    folder=$1 target=$2
    shift 2
    # shellcheck disable=SC2154 # root: see above
    set -- -S "$root" -B "$folder" -G Ninja -DCMAKE_BUILD_TYPE=RelWithDebInfo -DSL_LUA=ON "$@"
    say "building $folder"
    mkdir -p "$folder"
    if ! { cmake "$@" || cmake --fresh "$@"; } >"$folder/log" 2>&1 ||
        ! cmake --build "$folder" --target "$target" >"$folder/log" 2>&1; then
        cat "$folder/log" >&2
        exit 1
    fi
}
