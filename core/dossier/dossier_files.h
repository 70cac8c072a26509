/* dossier_files.h - the collected files, and the text of a bag's own files. */
#ifndef DOSSIER_FILES_H
#define DOSSIER_FILES_H

#include "windassay/digest.h"
#include "windassay/dossier.h"

typedef struct dossier_file {
    char *path; /* below data/ */
    /* One of three: bytes; those of `file` beneath `folder`; those that a listing makes. */
    unsigned char *bytes;
    char *folder, *file;
    wa_listing *listing;
    uint64_t n; /* of a listing they are known once it was made */
    char sha256[WA_SHA256_TEXT_SIZE];
} dossier_file;

struct wa_dossier {
    dossier_file *files; /* in order of path */
    size_t n_files, room;
    size_t jobs;  /* threads */
    wa_text info; /* lines of bag-info.txt without Payload-Oxum */
};

/* The three tag files that the tag manifest lists, in its order, and it last. */
enum { TAG_INFO, TAG_BAGIT, TAG_MANIFEST, TAG_TAGMANIFEST, TAG_FILES };
extern const char *const tag_names[TAG_FILES];
#define DOSSIER_BAGIT     "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
#define DOSSIER_SIGNATURE "tagmanifest-sha256.txt.sig"

/* Their contents, once all digests are known; the caller releases each. */
wa_status dossier_tags(wa_text tags[TAG_FILES], const wa_dossier *d, wa_error *err);

/* The file of a path, or NULL. */
dossier_file *dossier_find(const wa_dossier *d, const char *path);

/* Makes the digest of a file where it is not known. */
wa_status dossier_digest(dossier_file *f, size_t jobs, wa_error *err);

#endif
