#!/bin/sh
# sh symbols.sh STATIC SHARED: the library prints nothing, ends nothing, opens nothing, keeps no
# variable that outlives a call, and shows only its public names.
set -eu
export LC_ALL=C
static=$1 shared=$2
bad=0

report() {
    [ -z "$2" ] && return
    printf '%s:\n%s\n' "$1" "$2" >&2
    bad=1
}

not_ours='v?f?printf|f?puts|f?putc(har)?|fwrite|perror|std(in|out|err)|_?exit|abort|f?open'
not_ours="$not_ours|getenv|s?rand|setlocale|localeconv|strtod|time|clock"
report "calls that are not for a library" \
    "$(nm -u "$static" | awk '{ print $NF }' | sort -u | grep -E -x "$not_ours" || true)"

report "variables that outlive a call" \
    "$(objdump -t "$static" | awk '/ O \.t?(data|bss)\t/ || /\*COM\*/ { print $NF }')"

report "names that should not be seen" \
    "$(nm -D --defined-only "$shared" | awk '{ print $NF }' | grep -v '^sl_[a-z]' || true)"

exit $bad
