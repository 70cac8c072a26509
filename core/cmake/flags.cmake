# Flags of every target. -ffp-contract=off is what makes results equal on all machines: gcc on
# arm64 contracts by default, and a contracted a*b+c rounds once where we round twice.
set(CMAKE_C_STANDARD 11)
set(CMAKE_C_STANDARD_REQUIRED ON)
set(CMAKE_C_EXTENSIONS OFF)
set(CMAKE_POSITION_INDEPENDENT_CODE ON)
if(NOT CMAKE_BUILD_TYPE)
  set(CMAKE_BUILD_TYPE Release CACHE STRING "Debug or Release" FORCE)
endif()
# NDEBUG stays unset: an assertion is cheap beside a wrong certificate.
set(CMAKE_C_FLAGS_RELEASE "-O2")
set(CMAKE_C_FLAGS_DEBUG "-O0 -g")

add_compile_definitions(_GNU_SOURCE)
add_compile_options(
  -ffp-contract=off -fno-math-errno -fvisibility=hidden
  -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wdouble-promotion -Wformat=2
  -Wmissing-prototypes -Wstrict-prototypes -Wundef -Wvla -Wwrite-strings)
option(WINDASSAY_WERROR "Treat warnings as errors (the tests do)" OFF)
if(WINDASSAY_WERROR)
  add_compile_options(-Werror)
endif()
option(WINDASSAY_SANITIZE "Build with AddressSanitizer and UBSan" OFF)
option(WINDASSAY_FUZZ "Build the fuzzers of tests/fuzz (clang; with the sanitizers)" OFF)
if(WINDASSAY_FUZZ)
  set(WINDASSAY_SANITIZE ON)
  add_compile_options(-fsanitize=fuzzer-no-link)
endif()
if(WINDASSAY_SANITIZE)
  add_compile_options(-fsanitize=address,undefined -fno-sanitize-recover=all
                      -fno-omit-frame-pointer -g)
  add_link_options(-fsanitize=address,undefined)
endif()
