/* Opening a dossier: nothing in it is believed before its digest was seen. */
#include "windassay/dossier.h"

#include "data/files.h"
#include "dossier/dossier_files.h"
#include "dossier/tree.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct wa_bag {
    char *folder;
    char **paths;   /* below data/, in order                      */
    char **digests; /* one for each                               */
    size_t n;
    uint64_t bytes; /* of all of them                             */
    wa_text info;   /* bag-info.txt                               */
};

/* Reads one file of the bag from its first to its last byte: into `out`, its digest into `sha256`,
 * its bytes counted in `size`, each of which may be NULL. A large file is never held as a whole
 * unless `out` asks for it, and then up to a limit. */
static wa_status read_file(wa_text *out, char *sha256, uint64_t *size, const char *folder,
                           const char *path, wa_error *err)
{
    int fd;
    char block[65536], digest[WA_SHA256_TEXT_SIZE];
    wa_sha256 h = {0};
    wa_status s = wa_open_beneath(&fd, folder, path, err);
    if (s != WA_OK)
        return s;
    s = wa_sha256_init(&h, err);
    while (s == WA_OK) {
        ssize_t got = read(fd, block, sizeof block);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            s = wa_fail_at(err, WA_ERR_IO, path, 0, 0, "cannot read: %s", strerror(errno));
        if (got <= 0)
            break;
        s = wa_sha256_add(&h, block, (size_t)got, err);
        if (out != NULL)
            wa_text_add_bytes(out, block, (size_t)got);
        if (out != NULL && out->length > WA_BAG_FILE_MOST)
            s = wa_fail_at(err, WA_ERR_LIMIT, path, 0, 0, "it is too large to be read");
        if (size != NULL)
            *size += (uint64_t)got;
    }
    close(fd);
    if (s == WA_OK)
        s = wa_sha256_end(sha256 != NULL ? sha256 : digest, &h, err);
    else
        wa_sha256_release(&h);
    return s == WA_OK && out != NULL && wa_text_failed(out) ? wa_no_memory(err) : s;
}

/* The same, and its digest must be the one that is known. `out` only grows by what was proven. */
static wa_status read_proven(wa_text *out, const char *digest, uint64_t *size, const char *folder,
                             const char *path, wa_error *err)
{
    char found[WA_SHA256_TEXT_SIZE];
    size_t before = out == NULL ? 0 : out->length;
    wa_status s = read_file(out, found, size, folder, path, err);
    if (s == WA_OK && strcmp(found, digest) != 0)
        s = wa_fail_at(err, WA_ERR_DATA, path, 0, 0,
                       "its bytes are not those of the manifest (sha256 %.12s..., not %.12s...)",
                       found, digest);
    if (s != WA_OK && out != NULL && out->at != NULL) {
        out->length = before;
        out->at[before] = '\0';
    }
    return s;
}

/* Takes one line "DIGEST  PATH\n" off a manifest; both are cut out in place. */
static wa_status take_line(char **at, char **digest, char **path, const char *name, size_t line,
                           wa_error *err)
{
    char *end = strchr(*at, '\n');
    *digest = *at;
    size_t hex = strspn(*at, "0123456789abcdef");
    if (end == NULL || hex != WA_SHA256_TEXT_SIZE - 1 || strncmp(*at + hex, "  ", 2) != 0 ||
        end == *at + hex + 2)
        return wa_fail_at(err, WA_ERR_DATA, name, line, 0,
                          "not a digest, two blanks and a path, ended by a newline");
    (*at)[hex] = '\0';
    *end = '\0';
    *path = *at + hex + 2;
    *at = end + 1;
    return WA_OK;
}

/* The payload manifest: one line a file, in order, so that no path stands twice. */
static wa_status take_manifest(wa_bag *b, wa_error *err)
{
    const char *name = tag_names[TAG_MANIFEST];
    wa_text t = WA_TEXT_INIT;
    wa_status s = read_file(&t, NULL, NULL, b->folder, name, err);
    if (s == WA_OK && strlen(wa_text_string(&t)) != t.length)
        s = wa_fail_at(err, WA_ERR_DATA, name, 0, 0, "it holds a NUL");
    size_t lines = 0;
    for (size_t i = 0; s == WA_OK && i < t.length; i++)
        lines += t.at[i] == '\n';
    b->paths = calloc(lines + 1, sizeof *b->paths);
    b->digests = calloc(lines + 1, sizeof *b->digests);
    if (s == WA_OK && (b->paths == NULL || b->digests == NULL))
        s = wa_no_memory(err);
    char empty[1] = "";
    char *at = t.at == NULL ? empty : t.at, *digest, *path;
    while (s == WA_OK && *at != '\0') {
        s = take_line(&at, &digest, &path, name, b->n + 1, err);
        if (s == WA_OK && (strncmp(path, "data/", 5) != 0 || wa_path_check(path, NULL) != WA_OK ||
                           (b->n > 0 && strcmp(b->paths[b->n - 1], path + 5) >= 0)))
            s = wa_fail_at(err, WA_ERR_DATA, name, b->n + 1, 0,
                           "not a clean path below data/, or not in order");
        if (s != WA_OK)
            break;
        b->paths[b->n] = strdup(path + 5);
        b->digests[b->n] = strdup(digest);
        if (b->paths[b->n] == NULL || b->digests[b->n] == NULL)
            s = wa_no_memory(err);
        b->n++;
    }
    wa_text_release(&t);
    return s;
}

/* The tag manifest lists the other three, nothing else. */
static wa_status check_tags(wa_bag *b, wa_error *err)
{
    const char *name = tag_names[TAG_TAGMANIFEST];
    wa_text t = WA_TEXT_INIT, bagit = WA_TEXT_INIT;
    wa_status s = read_file(&t, NULL, NULL, b->folder, name, err);
    char empty[1] = "";
    char *at = t.at == NULL ? empty : t.at, *digest = NULL, *path = NULL;
    for (size_t i = 0; s == WA_OK && i < TAG_TAGMANIFEST; i++) {
        s = take_line(&at, &digest, &path, name, i + 1, err);
        if (s == WA_OK && strcmp(path, tag_names[i]) != 0)
            s = wa_fail_at(err, WA_ERR_DATA, name, i + 1, 0, "'%s' is expected here", tag_names[i]);
        if (s == WA_OK)
            s = read_proven(i == TAG_INFO    ? &b->info
                            : i == TAG_BAGIT ? &bagit
                                             : NULL,
                            digest, NULL, b->folder, path, err);
    }
    if (s == WA_OK && *at != '\0')
        s = wa_fail_at(err, WA_ERR_DATA, name, TAG_TAGMANIFEST + 1, 0, "nothing is expected here");
    if (s == WA_OK && strcmp(wa_text_string(&bagit), DOSSIER_BAGIT) != 0)
        s = wa_fail_at(err, WA_ERR_DATA, tag_names[TAG_BAGIT], 0, 0,
                       "it is not that of a bag of version 1.0 in UTF-8");
    wa_text_release(&t);
    wa_text_release(&bagit);
    return s;
}

/* True where a file of the folder is one that a dossier has. `at` is the next one of the
 * manifest; it moves on. */
static bool expected(const wa_bag *b, const char *path, size_t *at)
{
    if (strncmp(path, "data/", 5) == 0)
        return *at < b->n && strcmp(path + 5, b->paths[*at]) == 0 && ++*at > 0;
    for (size_t i = 0; i < TAG_FILES; i++)
        if (strcmp(path, tag_names[i]) == 0)
            return true;
    return strcmp(path, DOSSIER_SIGNATURE) == 0;
}

static wa_status check_list(const wa_bag *b, wa_error *err)
{
    char **paths = NULL;
    size_t n = 0, at = 0;
    wa_status s = tree_list(&paths, &n, AT_FDCWD, b->folder, err);
    for (size_t i = 0; s == WA_OK && i < n; i++)
        if (!expected(b, paths[i], &at)) {
            char shown[WA_ERROR_FILE_SIZE];
            bool missing = strncmp(paths[i], "data/", 5) == 0 && at < b->n &&
                           strcmp(b->paths[at], paths[i] + 5) < 0;
            s = missing ? wa_fail_at(err, WA_ERR_DATA, b->paths[at], 0, 0,
                                     "the manifest lists it below data/, and it is not there")
                        : wa_fail_at(err, WA_ERR_DATA,
                                     wa_shown(shown, sizeof shown, paths[i], strlen(paths[i])), 0,
                                     0, "no manifest lists it");
        }
    if (s == WA_OK && at < b->n)
        s = wa_fail_at(err, WA_ERR_DATA, b->paths[at], 0, 0,
                       "the manifest lists it below data/, and it is not there");
    tree_free(paths, n);
    return s;
}

static wa_status data_path(char to[4200], const char *path)
{
    int n = snprintf(to, 4200, "data/%s", path);
    return n > 0 && n < 4200 ? WA_OK : WA_ERR_MISSING;
}

/* "Payload-Oxum: BYTES.FILES" of bag-info.txt, once, and as it is (RFC 8493, 2.2.2). */
static wa_status check_oxum(const wa_bag *b, wa_error *err)
{
    const char *key = "Payload-Oxum: ", *at = strstr(wa_text_string(&b->info), key);
    char expected[80];
    int n = snprintf(expected, sizeof expected, "%s%" PRIu64 ".%zu\n", key, b->bytes, b->n);
    if (at != NULL && strncmp(at, expected, (size_t)n) == 0 && strstr(at + n, key) == NULL)
        return WA_OK;
    return wa_fail_at(err, WA_ERR_DATA, tag_names[TAG_INFO], 0, 0,
                      "its Payload-Oxum is not %" PRIu64 ".%zu: bytes and files below data/",
                      b->bytes, b->n);
}

static wa_status check_folder(const char *folder, wa_error *err)
{
    int fd = open(folder, O_PATH | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return wa_fail_at(err,
                          errno == ENOENT    ? WA_ERR_MISSING
                          : errno == ENOTDIR ? WA_ERR_DATA
                                             : WA_ERR_IO,
                          folder, 0, 0, "cannot open the dossier: %s", strerror(errno));
    close(fd);
    return WA_OK;
}

wa_status wa_bag_open(wa_bag **out, const char *folder, wa_error *err)
{
    wa_bag *b = calloc(1, sizeof *b);
    if (b == NULL)
        return wa_no_memory(err);
    b->folder = strdup(folder);
    wa_status s = b->folder == NULL ? wa_no_memory(err) : check_folder(folder, err);
    if (s != WA_OK) {
        wa_bag_close(b);
        return s;
    }
    s = take_manifest(b, err);
    if (s == WA_OK)
        s = check_list(b, err);
    if (s == WA_OK)
        s = check_tags(b, err);
    for (size_t i = 0; s == WA_OK && i < b->n; i++) {
        char path[4200];
        s = data_path(path, b->paths[i]);
        if (s == WA_OK)
            s = read_proven(NULL, b->digests[i], &b->bytes, b->folder, path, err);
    }
    if (s == WA_OK)
        s = check_oxum(b, err);
    if (s == WA_OK)
        *out = b;
    else
        wa_bag_close(b);
    if (s != WA_ERR_MISSING)
        return s;
    if (err != NULL)
        err->code = WA_ERR_DATA; /* the folder is there, what makes it a dossier is not */
    return wa_hint(err, WA_ERR_DATA, "this is no dossier, or not a whole one");
}

void wa_bag_close(wa_bag *b)
{
    if (b == NULL)
        return;
    tree_free(b->paths, b->paths == NULL ? 0 : b->n);
    tree_free(b->digests, b->digests == NULL ? 0 : b->n);
    wa_text_release(&b->info);
    free(b->folder);
    free(b);
}

size_t wa_bag_count(const wa_bag *b)
{
    return b->n;
}

const char *wa_bag_path(const wa_bag *b, size_t i)
{
    return i < b->n ? b->paths[i] : NULL;
}

const char *wa_bag_sha256(const wa_bag *b, size_t i)
{
    return i < b->n ? b->digests[i] : NULL;
}

/* The digest of a file of the manifest; NULL where it does not list it. */
static const char *listed(const wa_bag *b, const char *path)
{
    for (size_t i = 0; i < b->n; i++)
        if (strcmp(b->paths[i], path) == 0)
            return b->digests[i];
    return NULL;
}

static wa_status not_there(const char *path, wa_error *err)
{
    return wa_fail(err, WA_ERR_MISSING, "the dossier has no file '%.200s'", path);
}

wa_status wa_bag_read(wa_text *out, const wa_bag *b, const char *path, wa_error *err)
{
    char full[4200];
    const char *digest = listed(b, path);
    if (digest == NULL || data_path(full, path) != WA_OK)
        return not_there(path, err);
    return read_proven(out, digest, NULL, b->folder, full, err);
}

wa_status wa_bag_open_file(int *fd, const wa_bag *b, const char *path, wa_error *err)
{
    char full[4200];
    if (listed(b, path) == NULL || data_path(full, path) != WA_OK)
        return not_there(path, err);
    return wa_open_beneath(fd, b->folder, full, err);
}

const char *wa_bag_info(const wa_bag *b)
{
    return wa_text_string(&b->info);
}

const char *wa_bag_folder(const wa_bag *b)
{
    return b->folder;
}
