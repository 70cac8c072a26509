/* unit_table.h - the names of units and what they mean; for unit.c alone. */
#ifndef STATS_UNIT_TABLE_H
#define STATS_UNIT_TABLE_H

#include "windassay/unit.h"

/** One named unit: value in base units = value * num/den * pi^power + offset. */
typedef struct wa_named_unit {
    const char *symbol; /* the one way in which it is printed */
    int8_t power[WA_UNIT_DIMENSIONS];
    int64_t num, den;
    int64_t offset_num, offset_den;
    bool prefixed; /* takes the prefixes below */
} wa_named_unit;

typedef struct wa_unit_alias {
    const char *name, *symbol;
} wa_unit_alias;

typedef struct wa_unit_prefix {
    const char *symbol, *printed;
    int64_t num, den;
} wa_unit_prefix;

extern const wa_named_unit wa_named_units[];
extern const size_t wa_named_units_count;
extern const wa_unit_alias wa_unit_aliases[];
extern const size_t wa_unit_aliases_count;
extern const wa_unit_prefix wa_unit_prefixes[];
extern const size_t wa_unit_prefixes_count;

#endif
