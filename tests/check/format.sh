#!/bin/sh
# sh format.sh CLANG_FORMAT ROOT: fails if clang-format would change a C file, and prints how.
set -eu
clang_format=$1
cd "$2"
files=$(find include lib lua tests -name '*.[ch]' | LC_ALL=C sort)
# shellcheck disable=SC2086 # one word a file
"$clang_format" --dry-run --Werror $files 2>/dev/null && exit
for file in $files; do
    "$clang_format" "$file" | diff -u --label "$file" --label formatted "$file" - || true
done
exit 1
