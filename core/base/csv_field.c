#include "windassay/csv_field.h"

#include <string.h>

static bool plain(const char *bytes, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (bytes[i] == '\0' || strchr(",\"\n\r", bytes[i]) != NULL)
            return false;
    return n > 0 && bytes[0] != ' ' && bytes[n - 1] != ' ';
}

void wa_csv_add_bytes(wa_text *out, const char *bytes, size_t n)
{
    if (plain(bytes, n)) {
        wa_text_add_bytes(out, bytes, n);
        return;
    }
    wa_text_add_char(out, '"');
    for (size_t i = 0; i < n; i++) {
        if (bytes[i] == '"')
            wa_text_add_char(out, '"');
        wa_text_add_char(out, bytes[i]);
    }
    wa_text_add_char(out, '"');
}

void wa_csv_add(wa_text *out, const char *string)
{
    if (string != NULL)
        wa_csv_add_bytes(out, string, strlen(string));
}
