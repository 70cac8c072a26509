/* Collecting the files of a dossier, and the text of the bag around them. */
#include "windassay/dossier.h"

#include "data/files.h"
#include "dossier/dossier_files.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

enum { COMPONENT_MAX = 255 };

const char *const tag_names[TAG_FILES] = {"bag-info.txt", "bagit.txt", "manifest-sha256.txt",
                                          "tagmanifest-sha256.txt"};

wa_dossier *wa_dossier_new(void)
{
    return calloc(1, sizeof(wa_dossier));
}

static void release(dossier_file *f)
{
    free(f->path);
    free(f->bytes);
    free(f->folder);
    free(f->file);
    if (f->listing != NULL)
        wa_listing_release(f->listing);
    free(f->listing);
}

void wa_dossier_free(wa_dossier *d)
{
    if (d == NULL)
        return;
    for (size_t i = 0; i < d->n_files; i++) {
        release(&d->files[i]);
    }
    free(d->files);
    wa_text_release(&d->info);
    free(d);
}

/* The place of `path` in the order, whether it is there or not. */
static size_t place_of(const wa_dossier *d, const char *path)
{
    size_t low = 0, high = d->n_files;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (strcmp(d->files[middle].path, path) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

dossier_file *dossier_find(const wa_dossier *d, const char *path)
{
    size_t at = place_of(d, path);
    return at < d->n_files && strcmp(d->files[at].path, path) == 0 ? &d->files[at] : NULL;
}

/* RFC 8493 escapes CR, LF and % in manifests, sha256sum escapes \: such names are not made. */
static wa_status check_path(const char *path, wa_error *err)
{
    wa_error e = {0};
    if (wa_path_check(path, &e) != WA_OK)
        return wa_fail(err, WA_ERR_ARG, "%s", e.text);
    if (strpbrk(path, "%\\") != NULL)
        return wa_fail(err, WA_ERR_ARG, "the path '%.200s' has '%%' or '\\'", path);
    for (const char *at = path; *at != '\0';) {
        size_t n = strcspn(at, "/");
        if (n > COMPONENT_MAX)
            return wa_fail(err, WA_ERR_ARG, "a component of the path '%.200s...' is too long",
                           path);
        at += n + (at[n] == '/');
    }
    return WA_OK;
}

/* True where `file` would have to be a folder for `path` to lie in it. */
static bool lies_in(const char *path, const char *file)
{
    size_t n = strlen(file);
    return strncmp(path, file, n) == 0 && path[n] == '/';
}

static wa_status check_free(const wa_dossier *d, const char *path, wa_error *err)
{
    for (size_t i = 0; i < d->n_files; i++) {
        const char *other = d->files[i].path;
        if (strcmp(path, other) == 0)
            return wa_fail(err, WA_ERR_ARG, "the path '%.200s' was added before", path);
        if (lies_in(path, other) || lies_in(other, path))
            return wa_fail(err, WA_ERR_ARG, "'%.200s' would be a file and a folder",
                           strlen(path) < strlen(other) ? path : other);
    }
    return WA_OK;
}

static wa_status make_room(wa_dossier *d, wa_error *err)
{
    if (d->n_files < d->room)
        return WA_OK;
    size_t room = d->room == 0 ? 32 : 2 * d->room;
    dossier_file *files = realloc(d->files, room * sizeof *files);
    if (files == NULL)
        return wa_no_memory(err);
    d->files = files;
    d->room = room;
    return WA_OK;
}

/* Whether a file of this path may be added; with room for it then. */
static wa_status prepare(wa_dossier *d, const char *path, wa_error *err)
{
    wa_status s = check_path(path, err);
    if (s == WA_OK)
        s = check_free(d, path, err);
    return s == WA_OK ? make_room(d, err) : s;
}

/* Takes the file into its place; there is room. */
static void insert(wa_dossier *d, const dossier_file *f)
{
    size_t at = place_of(d, f->path);
    memmove(d->files + at + 1, d->files + at, (d->n_files - at) * sizeof *d->files);
    d->files[at] = *f;
    d->n_files++;
}

wa_status wa_dossier_add(wa_dossier *d, const char *path, const void *bytes, size_t n,
                         wa_error *err)
{
    dossier_file f = {.n = n};
    wa_status s = prepare(d, path, err);
    if (s == WA_OK)
        s = wa_sha256_of(f.sha256, bytes, n, err);
    if (s != WA_OK)
        return s;
    f.path = strdup(path);
    f.bytes = malloc(n + 1);
    if (f.path == NULL || f.bytes == NULL) {
        release(&f);
        return wa_no_memory(err);
    }
    if (n > 0)
        memcpy(f.bytes, bytes, n);
    insert(d, &f);
    return WA_OK;
}

wa_status wa_dossier_add_file(wa_dossier *d, const char *path, const char *folder, const char *file,
                              uint64_t n, const char *sha256, wa_error *err)
{
    dossier_file f = {.n = n};
    wa_status s = prepare(d, path, err);
    if (s == WA_OK && (strlen(sha256) != WA_SHA256_TEXT_SIZE - 1 ||
                       sha256[strspn(sha256, "0123456789abcdef")] != '\0'))
        s = wa_fail(err, WA_ERR_ARG, "'%.80s' is no SHA-256", sha256);
    if (s != WA_OK)
        return s;
    memcpy(f.sha256, sha256, WA_SHA256_TEXT_SIZE);
    f.path = strdup(path);
    f.folder = strdup(folder);
    f.file = strdup(file);
    if (f.path == NULL || f.folder == NULL || f.file == NULL) {
        release(&f);
        return wa_no_memory(err);
    }
    insert(d, &f);
    return WA_OK;
}

wa_status wa_dossier_add_listing(wa_dossier *d, const char *path, wa_listing *listing,
                                 wa_error *err)
{
    dossier_file f = {.listing = malloc(sizeof *f.listing)};
    wa_status s = f.listing == NULL ? wa_no_memory(err) : prepare(d, path, err);
    if (s == WA_OK && (f.path = strdup(path)) == NULL)
        s = wa_no_memory(err);
    if (s != WA_OK) {
        wa_listing_release(listing);
        free(f.listing);
        return s;
    }
    *f.listing = *listing;
    insert(d, &f);
    return WA_OK;
}

/* ---- what was added ----------------------------------------------------------------------- */

typedef struct digesting {
    wa_sha256 h;
    uint64_t n;
} digesting;

static wa_status digest_piece(void *to, const char *bytes, size_t n, wa_error *err)
{
    digesting *d = to;
    d->n += n;
    return wa_sha256_add(&d->h, bytes, n, err);
}

wa_status dossier_digest(dossier_file *f, size_t jobs, wa_error *err)
{
    digesting d = {.n = 0};
    if (f->sha256[0] != '\0')
        return WA_OK;
    wa_status s = wa_sha256_init(&d.h, err);
    if (s == WA_OK)
        s = wa_listing_make(f->listing, jobs, digest_piece, &d, err);
    if (s == WA_OK)
        s = wa_sha256_end(f->sha256, &d.h, err);
    else
        wa_sha256_release(&d.h);
    if (s == WA_OK)
        f->n = d.n;
    return s;
}

void wa_dossier_use(wa_dossier *d, size_t jobs)
{
    d->jobs = jobs;
}

const char *wa_dossier_path(const wa_dossier *d, size_t i)
{
    return i < d->n_files ? d->files[i].path : NULL;
}

wa_status wa_dossier_sha256(const char **sha256, wa_dossier *d, size_t i, wa_error *err)
{
    wa_status s = dossier_digest(&d->files[i], d->jobs, err);
    if (s == WA_OK)
        *sha256 = d->files[i].sha256;
    return s;
}

const void *wa_dossier_bytes(const wa_dossier *d, size_t i, size_t *n)
{
    *n = i < d->n_files && d->files[i].bytes != NULL ? (size_t)d->files[i].n : 0;
    return i < d->n_files ? d->files[i].bytes : NULL;
}

const wa_listing *wa_dossier_listing(const wa_dossier *d, size_t i)
{
    return i < d->n_files ? d->files[i].listing : NULL;
}

/* ---- bag-info.txt, and the manifests --------------------------------------------------------- */

/* True where a text is one clean line. */
static bool one_line(const char *text)
{
    for (const char *c = text; *c != '\0'; c++)
        if ((unsigned char)*c < 0x20 || *c == 0x7f)
            return false;
    return text[0] != '\0' && wa_utf8_valid(text, strlen(text));
}

wa_status wa_dossier_note(wa_dossier *d, const char *key, const char *value, wa_error *err)
{
    if (!one_line(key) || !one_line(value) || strchr(key, ':') != NULL ||
        strcmp(key, "Payload-Oxum") == 0)
        return wa_fail(err, WA_ERR_ARG, "a key and value of bag-info.txt are one clean line each");
    wa_text_printf(&d->info, "%s: %s\n", key, value);
    return wa_text_failed(&d->info) ? wa_no_memory(err) : WA_OK;
}

const char *wa_dossier_notes(const wa_dossier *d)
{
    return wa_text_string(&d->info);
}

wa_status dossier_tags(wa_text tags[TAG_FILES], const wa_dossier *d, wa_error *err)
{
    uint64_t bytes = 0;
    for (size_t i = 0; i < TAG_FILES; i++)
        tags[i] = (wa_text)WA_TEXT_INIT;
    wa_text_add(&tags[TAG_BAGIT], DOSSIER_BAGIT);
    for (size_t i = 0; i < d->n_files; i++) {
        bytes += d->files[i].n;
        wa_text_printf(&tags[TAG_MANIFEST], "%s  data/%s\n", d->files[i].sha256, d->files[i].path);
    }
    wa_text_add(&tags[TAG_INFO], wa_text_string(&d->info));
    wa_text_printf(&tags[TAG_INFO], "Payload-Oxum: %" PRIu64 ".%zu\n", bytes, d->n_files);
    wa_status s = WA_OK;
    for (size_t i = 0; s == WA_OK && i < TAG_TAGMANIFEST; i++) {
        char digest[WA_SHA256_TEXT_SIZE];
        s = wa_sha256_of(digest, wa_text_string(&tags[i]), tags[i].length, err);
        if (s == WA_OK)
            wa_text_printf(&tags[TAG_TAGMANIFEST], "%s  %s\n", digest, tag_names[i]);
    }
    for (size_t i = 0; s == WA_OK && i < TAG_FILES; i++)
        if (wa_text_failed(&tags[i]))
            s = wa_no_memory(err);
    if (s != WA_OK)
        for (size_t i = 0; i < TAG_FILES; i++)
            wa_text_release(&tags[i]);
    return s;
}
