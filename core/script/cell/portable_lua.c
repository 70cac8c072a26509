/* portable_lua.c - two functions of the C library as Lua shall have them. The dynamic linker finds
 * those of the program before those of the library.
 *
 * pow: Lua's `^`. The C library's differs between machines in the last bit.
 * __snprintf_chk: what Lua (built with fortified sources, as Debian's is) writes a float with when
 * it joins it to a text by `..`: "%.14g", which loses digits and shows the sign of a NaN, which
 * differs between machines. Ours writes the shortest text that reads back, as tostring does.
 * tests/scripts/base.lua fails where Lua does not come here. */
#include "windassay/number.h"
#include "windassay/portable.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

__attribute__((visibility("default"))) double pow(double x, double y);
double pow(double x, double y)
{
    return wa_pow(x, y);
}

/* LUAI_NUMFFORMAT; string.format never hands it on in this form (text.c). */
static const char LUA_FLOAT[] = "%.14g";

__attribute__((visibility("default"), format(printf, 5, 6))) int
__snprintf_chk(char *to, size_t size, int flag, size_t room, const char *format, ...);
int __snprintf_chk(char *to, size_t size, int flag, size_t room, const char *format, ...)
{
    va_list args;
    int n;
    (void)flag;
    va_start(args, format);
    if (strcmp(format, LUA_FLOAT) == 0) {
        char text[WA_NUMBER_SIZE];
        double x = va_arg(args, double);
        if (isfinite(x))
            wa_number_print(text, x);
        n = snprintf(to, size, "%s",
                     isfinite(x) ? text
                     : isnan(x)  ? "nan"
                     : x > 0     ? "inf"
                                 : "-inf");
    } else {
        n = vsnprintf(to, size < room ? size : room, format, args);
    }
    va_end(args);
    return n;
}
