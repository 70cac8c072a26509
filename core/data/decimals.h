/* decimals.h - one column of plain rows: decimals read many at a time.
 *
 * What is read are fields of at most eight characters with one and the same number of decimals,
 * which is what nearly every field of a logger's column is. The first field that is anything else
 * ends it: that one is read alone, and then it goes on. All levels read the same.
 */
#ifndef WINDASSAY_DATA_DECIMALS_H
#define WINDASSAY_DATA_DECIMALS_H

#include "data/index.h"
#include "data/sample.h"

enum { WA_AVOIDED_MOST = 4 };

/** What a column's fields are expected to be, as integers at its scale. */
typedef struct wa_decimals {
    char point;
    uint8_t scale;
    int64_t lowest, below;            /* the range in which they need no second look */
    int64_t avoided[WA_AVOIDED_MOST]; /* numbers that mean something else            */
    size_t n_avoided;
} wa_decimals;

/** True for a number that does need a second look. */
bool wa_decimals_avoid(const wa_decimals *d, int64_t x);

/** Field i lies between text + begin[i * stride] and text + begin[i * stride + 1], where a delimiter
 *  stands each; the 8 bytes in front of its end may be read. Reads fields from the first on, at most
 *  n, and says how many. */
size_t wa_decimals_read(wa_datum *to, const wa_decimals *d, const char *text, const uint32_t *begin,
                        size_t stride, size_t n, wa_vector_level level);

#endif
