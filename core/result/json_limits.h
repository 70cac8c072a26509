/* json_limits.h - what the reader and the writer of JSON agree on. */
#ifndef RESULT_JSON_LIMITS_H
#define RESULT_JSON_LIMITS_H

enum {
    JSON_DEPTH_MAX = 64,  /* as in the wire form of plain values */
    JSON_KEYS_MAX = 4096, /* of one map                          */
    JSON_SHORT_MAP = 100  /* bytes up to which a map of scalars takes one line */
};

#endif
