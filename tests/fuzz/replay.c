/* replay.c - hands the kept inputs to a fuzz target: replay FILE-OR-FOLDER...
 *
 * Files go in order of their names, each as it is and cut short at several places: a torn input is
 * the commonest one. Fails when there is no file, so that a lost corpus is seen. */
#include "fuzz.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { PATH_SIZE = 1024, CUTS = 4, CUT_BELOW = 65536 };

static size_t files;

static void hand_over(const uint8_t *bytes, size_t n)
{
    /* A block of its own size: the sanitizer sees a byte read beyond the end. */
    uint8_t *copy = malloc(n > 0 ? n : 1);
    FUZZ_HOLDS(copy != NULL);
    if (n > 0)
        memcpy(copy, bytes, n);
    LLVMFuzzerTestOneInput(copy, n);
    free(copy);
}

static void replay_file(const char *path, size_t n)
{
    FILE *f = fopen(path, "rb");
    uint8_t *bytes = malloc(n + 1);
    FUZZ_HOLDS(f != NULL && bytes != NULL);
    FUZZ_HOLDS(fread(bytes, 1, n, f) == n);
    fclose(f);
    printf("%s\n", path);
    fflush(stdout); /* a crash comes after the name of its file */
    hand_over(bytes, n);
    for (size_t i = 1; i <= CUTS && n < CUT_BELOW; i++)
        hand_over(bytes, n * i / (CUTS + 1));
    free(bytes);
    files++;
}

static int is_visible(const struct dirent *e)
{
    return e->d_name[0] != '.';
}

static void replay(const char *path)
{
    struct stat st;
    FUZZ_HOLDS(stat(path, &st) == 0);
    if (!S_ISDIR(st.st_mode)) {
        replay_file(path, (size_t)st.st_size);
        return;
    }
    struct dirent **entries;
    int n = scandir(path, &entries, is_visible, alphasort);
    FUZZ_HOLDS(n >= 0);
    for (int i = 0; i < n; i++) {
        char below[PATH_SIZE];
        FUZZ_HOLDS(snprintf(below, sizeof below, "%s/%s", path, entries[i]->d_name) < PATH_SIZE);
        replay(below);
        free(entries[i]);
    }
    free(entries);
}

int main(int argc, char **argv)
{
    for (int i = 1; i < argc; i++)
        replay(argv[i]);
    if (files == 0) {
        fputs("replay: no input was found\n", stderr);
        return 1;
    }
    printf("%zu files\n", files);
    return 0;
}
