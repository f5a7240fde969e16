#!/bin/sh
# sh tree.sh ROOT: who may include whom, and what may stand at the top of the tree.
set -eu
export LC_ALL=C
cd "$1"
bad=0

report() {
    [ -z "$1" ] && return
    printf '%s\n' "$1" >&2
    bad=1
}

c_headers='assert|ctype|errno|float|inttypes|limits|locale|math|setjmp|signal|stdalign|stdarg'
c_headers="<($c_headers|stdbool|stddef|stdint|stdio|stdlib|string|time|uchar|wchar)\\.h>"
public='["<]strapline/[a-z_]+\.h[">]'
lua='["<](lua|lauxlib|lualib|luaconf)\.h[">]'

# may_include FOLDER PATTERN: an include line of a file in FOLDER (not below it) is that of a C
# header or matches PATTERN.
may_include() {
    report "$(grep -H -n '^[[:space:]]*#[[:space:]]*include' "$1"/*.[ch] 2>/dev/null |
        grep -v -E "include[[:space:]]*($c_headers|$2)" |
        sed "s|\$|   -- $1 may not include this|")"
}

may_include include/strapline '"strapline/[a-z_]+\.h"'
may_include lib/base "$public|\"base/[a-z_]+\\.h\""
may_include lib/numeric "$public|\"(base|numeric)/[a-z_]+\\.h\"|<(amd|emmintrin)\\.h>|LANES_KERNEL"
may_include lib/kinds "$public|\"(base|kinds)/[a-z_]+\\.h\""
may_include lib/circuit "$public|\"(base|numeric|kinds|circuit)/[a-z_]+\\.h\""
may_include lib/solve "$public|\"(base|numeric|kinds|circuit|solve)/[a-z_]+\\.h\""
may_include lib/analysis "$public|\"(base|kinds|circuit|solve|analysis)/[a-z_]+\\.h\"|<pthread\\.h>"
may_include lua/binding "$public|$lua|<pthread\\.h>|\"(binding/)?[a-z_]+\\.h\""
may_include lua/command "$public|$lua|\"(binding|command)/[a-z_]+\\.h\"|\"[a-z_]+\\.h\""

# base.h stands alone.
report "$(grep -n '#include "' include/strapline/base.h | sed 's|^|include/strapline/base.h:|')"

# Every folder of C in the library is one of those above.
report "$(find lib lua -name '*.[ch]' | sed 's|/[^/]*$||' | sort -u |
    grep -E -v -x 'lib/(base|numeric|kinds|circuit|solve|analysis)|lua/(binding|command)' |
    sed 's|$|: a floor that nobody knows|')"

# Only init.lua requires the module in C.
report "$(grep -n -E "require[ (]*[\"']strapline\\.core" lua/strapline/*.lua lua/command/*.lua \
    2>/dev/null | grep -v '^lua/strapline/init\.lua:')"

# What git does not know is its owner's, as far as git can tell.
names=$(git ls-files -- . 2>/dev/null | sed 's|/.*||' | sort -u)
for name in ${names:-*}; do
    case $name in
    .*) ;;
    README.md | DEVELOPERS.md | CMakeLists.txt | LICENSE | lib | include | lua | circuits | tests) ;;
    build) ;; # not of the tree
    *) report "$name: not for the top of the tree" ;;
    esac
done
exit $bad
