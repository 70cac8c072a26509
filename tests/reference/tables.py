#!/usr/bin/python3
"""Makes the constant tables of core/base with mpmath, or compares them with it.

    tables.py functions > core/base/function_tables.h
    tables.py powers    > core/base/powers_of_ten.h
    tables.py check CORE_BASE        exit 1 where a file is not what mpmath says (a test does this)
"""
import sys
from mpmath import mp, mpf, atan, cos, exp, factorial, log, pi, sin

mp.prec = 600


def dd(x):
    hi = float(x)
    lo = float(x - mpf(hi))
    return "{%s, %s}" % (hi.hex(), lo.hex())


def table(name, values, note):
    rows = ",\n".join("    " + v for v in values)
    return f"/* {note} */\nstatic const wa_dd {name}[{len(values)}] = {{\n{rows}}};\n"


def functions():
    deg = pi / 180
    recip = []
    for i in range(90, 183):
        recip.append(mpf(round(128 / mpf(i) * 256)) / 256)
    out = ["""/* function_tables.h - constants of the portable functions, made by tests/reference/tables.py
 * (mpmath at 600 bits, each rounded to double-double). */
#ifndef BASE_FUNCTION_TABLES_H
#define BASE_FUNCTION_TABLES_H

#include "windassay/exact.h"

/* clang-format off */"""]
    for name, value, note in [
        ("RADIANS", deg, "pi / 180"), ("DEGREES", 1 / deg, "180 / pi"), ("LN2", log(mpf(2)), "log 2")]:
        out.append(f"static const wa_dd {name} = {dd(value)}; /* {note} */")
    step = log(mpf(2)) / 64
    high = mpf(int(step * 2**42)) / 2**42
    out.append(f"static const double STEP_HIGH = {float(high).hex()}; /* log 2 / 64, 36 bits: exact times 17 bits */")
    out.append(f"static const wa_dd STEP_REST = {dd(step - high)};\n")
    out.append(table("SIN_TABLE", [dd(sin(j * mpf("1.40625") * deg)) for j in range(33)], "sin(j * 1.40625 degrees)"))
    out.append(table("COS_TABLE", [dd(cos(j * mpf("1.40625") * deg)) for j in range(33)], "cos(j * 1.40625 degrees)"))
    out.append(table("ATAN_TABLE", [dd(atan(mpf(j) / 64) / deg) for j in range(65)], "atan(j / 64) in degrees"))
    out.append(table("EXP_TABLE", [dd(mpf(2) ** (mpf(j) / 64)) for j in range(64)], "2^(j / 64)"))
    out.append("/* c, near 128 / (i + 90) */\nstatic const double LOG_FACTOR[93] = {\n"
               + ",\n".join("    " + float(c).hex() for c in recip) + "};\n")
    out.append(table("LOG_TABLE", [dd(-log(c)) for c in recip], "-log(c)"))
    out.append(table("INVERSE_FACTORIAL", [dd(1 / factorial(k)) for k in range(18)], "1 / k!"))
    out.append(table("INVERSE", [dd(mpf(1) / k) if k else "{0, 0}" for k in range(18)], "1 / k"))
    out.append("/* clang-format on */\n#endif")
    return "\n".join(out) + "\n"


def powers():
    rows = []
    for k in range(-292, 325):
        num, den = (10**k, 1) if k >= 0 else (1, 10**-k)
        e = num.bit_length() - den.bit_length() - 128
        while True:
            n, d = (num << -e, den) if e < 0 else (num, den << e)
            g = -(-n // d)
            if n >= d << 128:
                e += 1
            elif n < d << 127:
                e -= 1
            else:
                break
        assert 2**127 <= g < 2**128
        rows.append("    {0x%016x, 0x%016x}" % (g >> 64, g & (2**64 - 1)))
    return """/* powers_of_ten.h - 10^k * 2^-r rounded up to a 128-bit integer with its top bit set, high and
 * low half, k from -292 to 324; made by tests/reference/tables.py. */
#ifndef BASE_POWERS_OF_TEN_H
#define BASE_POWERS_OF_TEN_H

#include <stdint.h>

enum { POWER_MIN = -292, POWER_MAX = 324 };

/* clang-format off */
static const uint64_t POWER_OF_TEN[617][2] = {
""" + ",\n".join(rows) + """};
/* clang-format on */
#endif
"""


def check(folder):
    bad = 0
    for name, make in (("function_tables.h", functions), ("powers_of_ten.h", powers)):
        with open(f"{folder}/{name}", encoding="ascii") as f:
            if f.read() != make():
                print(f"{folder}/{name} is not what mpmath says")
                bad = 1
    return bad


if __name__ == "__main__":
    if sys.argv[1] == "check":
        sys.exit(check(sys.argv[2]))
    sys.stdout.write({"functions": functions, "powers": powers}[sys.argv[1]]())
