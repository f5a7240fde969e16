#!/bin/sh
# sh tests/run.sh: installs what is missing, builds with gcc, and with clang and its sanitizers, and
# runs every test of both. Ends with the count of ctest.
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
. "$root/tests/setup.sh"

need g++ binutils diffutils pkg-config libcmocka-dev liblapack-dev lua5.4 \
    python3 python3-networkx python3-scipy \
    clang llvm libclang-rt-dev clang-format clang-tidy cppcheck shellcheck lua-check
build "$root/build" all -DCMAKE_C_COMPILER=gcc -DSL_SANITIZE= -DSL_TESTS=ON -DSL_BENCH=ON
build "$root/build/sanitize" all -DCMAKE_C_COMPILER=clang -DSL_TESTS=ON -DSL_BENCH=OFF \
    -DSL_SANITIZE=address,undefined

# One run over both builds, so that there is one count.
mkdir -p "$root/build/both"
echo "subdirs(\"$root/build\" \"$root/build/sanitize\")" >"$root/build/both/CTestTestfile.cmake"
say "testing"
exec ctest --test-dir "$root/build/both" --output-on-failure --parallel "$(nproc)" \
    --no-tests=error
