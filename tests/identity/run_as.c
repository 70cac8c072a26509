/* run_as.c - a run with every choice of reading open, for identity/levels.sh and the benchmark:
 *
 *   run_as CELL SCRIPTS JOBS LEVEL PIECE CAMPAIGN INTO
 *
 * LEVEL is best, none (every row through the parser), portable, sse2 or avx2; PIECE the bytes of a
 * file that are one task, 0 for the usual; "-" before it leaves out the inputs' digests.
 */
#include "windassay/run.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const levels[] = {"best", "none", "portable", "sse2", "avx2", "avx512"};
enum { LEVELS = sizeof levels / sizeof *levels };

int main(int argc, char **argv)
{
    if (argc != 8)
        return 64;
    wa_reading how = {.undigested = argv[5][0] == '-'};
    how.piece = strtoul(argv[5] + how.undigested, NULL, 10);
    size_t level = 0;
    while (level < LEVELS && strcmp(argv[4], levels[level]) != 0)
        level++;
    if (level == LEVELS)
        return 64;
    how.level = (wa_vector_level)level;
    const wa_engine engine = {
        .cell = argv[1], .scripts = argv[2], .jobs = strtoul(argv[3], NULL, 10), .reading = &how};
    const wa_run_options options = {
        .into = argv[7], .compiler = "any", .host = "any", .now = "2026-11-25T00:00:00Z"};
    wa_run run;
    wa_error err;
    if (wa_run_campaign(&run, argv[6], &engine, &options, &err) != WA_OK) {
        fprintf(stderr, "run_as: %s:%zu:%zu: %s\n", err.file, err.line, err.column, err.text);
        return 65;
    }
    int code = run.exit_code;
    wa_run_release(&run);
    return code;
}
