/* The whole of one of a campaign's files. */
#include "data/files.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

enum { BLOCK = 1 << 16 };

wa_status wa_file_bytes(wa_text *out, const char *folder, const char *root, const char *path,
                        wa_error *err)
{
    int fd = -1;
    char block[BLOCK];
    wa_status s = wa_file_open(&fd, folder, root, path, err);
    while (s == WA_OK) {
        ssize_t n = read(fd, block, sizeof block);
        if (n < 0 && errno == EINTR)
            continue;
        if (n < 0)
            s = wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot be read: %s", strerror(errno));
        if (n <= 0)
            break;
        wa_text_add_bytes(out, block, (size_t)n);
    }
    if (fd >= 0)
        close(fd);
    if (s == WA_OK && wa_text_failed(out))
        s = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    return s;
}
