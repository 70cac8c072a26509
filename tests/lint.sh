#!/bin/sh
# Format and lint: lint.sh ROOT BUILD format|tidy|analyze|lua|shell|text
# "analyze" is tidy with the path-sensitive checks: minutes, so it is run by hand.
set -eu
root=$1 build=$2
cd "$root"
c_files() {
    git ls-files --cached --others --exclude-standard '*.c' '*.h' 2>/dev/null ||
        find core include tests demo -name '*.[ch]'
}
case $3 in
format)
    c_files | xargs clang-format --dry-run --Werror
    ;;
tidy)
    git ls-files 'core/*.c' |
        xargs -P 2 -n 8 clang-tidy --quiet --checks='-clang-analyzer-*' -p "$build" 2>/dev/null
    ;;
analyze)
    git ls-files 'core/*.c' | xargs -P 2 -n 8 clang-tidy --quiet -p "$build" 2>/dev/null
    ;;
lua)
    luacheck --no-color -q scripts demo tests
    ;;
text) # what .editorconfig asks of every text file: no blanks at line ends, a final newline, LF
    return=$(printf '\r')
    strange=$(git ls-files | grep -vE '^(README\.md|DEVELOPERS\.md|LICENSE|CMakeLists\.txt|(core|scripts|include|tests|demo|docs)/|\.)' || true)
    [ -z "$strange" ] || { echo "not in the fixed layout: $strange"; exit 1; }
    wrong=$(git ls-files -- . ':!tests/hostile' ':!tests/fuzz' ':!tests/fixtures' \
        ':!tests/program/cases' ':!LICENSE' | xargs -d '\n' grep -InE "[[:blank:]]+\$|$return" || true)
    for file in $(git ls-files '*.c' '*.h' '*.lua' '*.md' '*.sh' '*.py' '*.txt' '*.json' \
        ':!tests/hostile' ':!tests/fixtures' ':!tests/fuzz/corpus' ':!tests/reference'); do
        [ -z "$(tail -c 1 "$file")" ] || wrong="$wrong
$file: no newline at its end"
    done
    [ -z "$wrong" ] || { echo "$wrong"; exit 1; }
    ;;
shell)
    git ls-files '*.sh' '.ci/run' | xargs shellcheck -x
    ;;
esac
echo "$3: clean"
