/* whole.h - a file as one text, inflated where it is gzip. */
#ifndef WINDASSAY_DATA_WHOLE_H
#define WINDASSAY_DATA_WHOLE_H

#include "windassay/error.h"
#include "windassay/text.h"

/** Appends all of it. Owns `fd`, at its start; the end of `name` says whether it is gzip. */
wa_status wa_file_whole(wa_text *out, int fd, const char *name, wa_error *err);

#endif
