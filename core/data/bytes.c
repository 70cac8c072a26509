#include "data/bytes.h"

#include "windassay/digest.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <zlib.h>

enum { STORED_BLOCK = 64 * 1024 };

struct wa_bytes {
    int fd;
    char *name;
    bool gz, part, undigested, at_end;
    uint64_t stored;
    uint64_t left; /* of a part */
    struct stat before;
    wa_sha256 hash;
    char sha256[WA_SHA256_TEXT_SIZE];
    /* gzip only */
    z_stream z;
    bool member; /* inside a gzip member: its end has not come yet */
    unsigned char *block;
};

static bool named_gz(const char *name)
{
    size_t n = strlen(name);
    return n >= 3 && strcmp(name + n - 3, ".gz") == 0;
}

wa_status wa_bytes_open(wa_bytes **out, int fd, const char *name, wa_error *err)
{
    wa_bytes *b = calloc(1, sizeof *b);
    if (b == NULL) {
        close(fd);
        return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    }
    b->fd = fd;
    b->gz = named_gz(name);
    wa_status status = WA_OK;
    if ((b->name = strdup(name)) == NULL || (b->gz && (b->block = malloc(STORED_BLOCK)) == NULL)) {
        status = wa_fail(err, WA_ERR_NOMEM, "out of memory");
    } else if (fstat(fd, &b->before) != 0) {
        status = wa_fail_at(err, WA_ERR_IO, name, 0, 0, "cannot be examined: %s", strerror(errno));
    } else if (!S_ISREG(b->before.st_mode)) {
        status = wa_fail_at(err, WA_ERR_DATA, name, 0, 0, "is not a regular file");
    }
    if (status == WA_OK)
        status = wa_sha256_init(&b->hash, err);
    if (status != WA_OK) {
        wa_bytes_close(b);
        return status;
    }
    *out = b;
    return WA_OK;
}

wa_status wa_bytes_open_part(wa_bytes **out, int fd, const char *name, uint64_t from, uint64_t to,
                             wa_error *err)
{
    wa_bytes *b = NULL;
    wa_status status = wa_bytes_open(&b, fd, name, err);
    if (status != WA_OK)
        return status;
    wa_sha256_release(&b->hash);
    b->part = true;
    b->left = to - from;
    if (b->gz || lseek(fd, (off_t)from, SEEK_SET) < 0) {
        status = wa_fail_at(err, WA_ERR_IO, name, 0, 0, "cannot be read in parts");
        wa_bytes_close(b);
        return status;
    }
    *out = b;
    return WA_OK;
}

void wa_bytes_leave_digest(wa_bytes *b)
{
    wa_sha256_release(&b->hash);
    b->undigested = true;
}

static wa_file_stamp stamp_of(const struct stat *st)
{
    return (wa_file_stamp){(uint64_t)st->st_dev, (uint64_t)st->st_ino, (uint64_t)st->st_size,
                           st->st_mtim.tv_sec, st->st_mtim.tv_nsec};
}

wa_file_stamp wa_bytes_stamp(const wa_bytes *b)
{
    return stamp_of(&b->before);
}

wa_status wa_bytes_check(const wa_bytes *b, const wa_file_stamp *was, wa_error *err)
{
    struct stat st;
    if (fstat(b->fd, &st) != 0)
        return wa_fail_at(err, WA_ERR_IO, b->name, 0, 0, "cannot be examined: %s", strerror(errno));
    wa_file_stamp now = stamp_of(&st);
    if (now.device == was->device && now.inode == was->inode && now.size == was->size &&
        now.second == was->second && now.nanosecond == was->nanosecond)
        return WA_OK;
    wa_fail_at(err, WA_ERR_DATA, b->name, 0, 0, "changed while it was read");
    return wa_hint(err, WA_ERR_DATA, "wait until whoever writes it is done, or read a copy");
}

/* What was hashed must be what was read: a file that grew or was written meanwhile is refused. */
static wa_status check_unchanged(const wa_bytes *b, wa_error *err)
{
    wa_file_stamp was = stamp_of(&b->before);
    was.size = b->stored;
    return wa_bytes_check(b, &was, err);
}

/* The next stored bytes; *got = 0 at the end of the file. */
static wa_status read_stored(wa_bytes *b, void *to, size_t room, size_t *got, wa_error *err)
{
    ssize_t n = 0;
    if (b->part && b->left < room)
        room = (size_t)b->left;
    if (b->at_end || room == 0) {
        *got = 0;
        return WA_OK;
    }
    do {
        n = read(b->fd, to, room);
    } while (n < 0 && errno == EINTR);
    if (n < 0)
        return wa_fail_at(err, WA_ERR_IO, b->name, 0, 0, "cannot be read: %s", strerror(errno));
    b->stored += (uint64_t)n;
    if (b->part) {
        b->left -= (uint64_t)n;
        *got = (size_t)n;
        return WA_OK;
    }
    wa_status status = b->undigested ? WA_OK : wa_sha256_add(&b->hash, to, (size_t)n, err);
    if (status == WA_OK && n == 0) {
        status = check_unchanged(b, err);
        if (status == WA_OK && !b->undigested)
            status = wa_sha256_end(b->sha256, &b->hash, err);
        b->at_end = status == WA_OK;
    }
    if (status == WA_OK)
        *got = (size_t)n;
    return status;
}

static wa_status broken_gz(const wa_bytes *b, const char *how, wa_error *err)
{
    return wa_fail_at(err, WA_ERR_DATA, b->name, 0, 0, "%s after %llu bytes", how,
                      (unsigned long long)(b->stored - b->z.avail_in));
}

/* Starts the next gzip member: what follows the last one must be another, or nothing. */
static wa_status start_member(wa_bytes *b, wa_error *err)
{
    if (b->z.next_out == NULL && b->z.state == NULL) {
        if (inflateInit2(&b->z, 16 + MAX_WBITS) != Z_OK)
            return wa_fail(err, WA_ERR_NOMEM, "out of memory");
    } else if (inflateReset(&b->z) != Z_OK) {
        return wa_fail(err, WA_ERR_INTERNAL, "zlib refuses to start again");
    }
    b->member = true;
    return WA_OK;
}

static wa_status read_inflated(wa_bytes *b, void *to, size_t room, size_t *got, wa_error *err)
{
    size_t made = 0;
    while (made == 0) {
        if (b->z.avail_in == 0 && !b->at_end) {
            size_t n = 0;
            wa_status status = read_stored(b, b->block, STORED_BLOCK, &n, err);
            if (status != WA_OK)
                return status;
            b->z.next_in = b->block;
            b->z.avail_in = (uInt)n;
        }
        if (b->z.avail_in == 0) {
            if (b->member)
                return broken_gz(b, "gzip data end too early: the file is torn", err);
            if (b->z.state == NULL)
                return wa_fail_at(err, WA_ERR_DATA, b->name, 0, 0, "is empty");
            break;
        }
        if (!b->member) {
            wa_status status = start_member(b, err);
            if (status != WA_OK)
                return status;
        }
        b->z.next_out = to;
        b->z.avail_out = (uInt)room;
        int rc = inflate(&b->z, Z_NO_FLUSH);
        made = room - b->z.avail_out;
        if (rc == Z_STREAM_END)
            b->member = false;
        else if (rc == Z_MEM_ERROR)
            return wa_fail(err, WA_ERR_NOMEM, "out of memory");
        else if (rc != Z_OK && rc != Z_BUF_ERROR)
            return broken_gz(b, "is named .gz but is not sound gzip data", err);
    }
    *got = made;
    return WA_OK;
}

wa_status wa_bytes_read(wa_bytes *b, void *to, size_t room, size_t *got, wa_error *err)
{
    if (room > 1u << 30)
        room = 1u << 30;
    return b->gz ? read_inflated(b, to, room, got, err) : read_stored(b, to, room, got, err);
}

uint64_t wa_bytes_stored(const wa_bytes *b)
{
    return b->stored;
}

uint64_t wa_bytes_size(const wa_bytes *b)
{
    return (uint64_t)b->before.st_size;
}

const char *wa_bytes_sha256(const wa_bytes *b)
{
    return b->sha256;
}

const char *wa_bytes_name(const wa_bytes *b)
{
    return b->name;
}

bool wa_bytes_inflates(const wa_bytes *b)
{
    return b->gz;
}

void wa_bytes_close(wa_bytes *b)
{
    if (b == NULL)
        return;
    if (b->z.state != NULL)
        inflateEnd(&b->z);
    if (b->fd >= 0)
        close(b->fd);
    wa_sha256_release(&b->hash);
    free(b->block);
    free(b->name);
    free(b);
}
