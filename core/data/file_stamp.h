/* file_stamp.h - what tells whether a file is still the same. */
#ifndef WINDASSAY_DATA_FILE_STAMP_H
#define WINDASSAY_DATA_FILE_STAMP_H

#include <stdint.h>

typedef struct wa_file_stamp {
    uint64_t device, inode, size;
    int64_t second, nanosecond; /* of its last change */
} wa_file_stamp;

#endif
