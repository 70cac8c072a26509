#!/bin/sh
# Each public header alone, as C11 and as C++17, with warnings as errors.
set -eu
root=$1
for header in "$root"/include/windassay/*.h; do
    name=windassay/$(basename "$header")
    printf '#include "%s"\nint main(void);\nint main(void) { return 0; }\n' "$name" |
        cc -std=c11 -Wall -Wextra -Wpedantic -Werror -I"$root/include" -fsyntax-only -x c -
    printf '#include "%s"\nint main() { return 0; }\n' "$name" |
        c++ -std=c++17 -Wall -Wextra -Werror -I"$root/include" -fsyntax-only -x c++ -
done
echo "headers: each compiles alone in C11 and C++17"
