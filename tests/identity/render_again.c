/* render_again.c - the presentation is a function of the evidence alone: report and figures made
 * again from a dossier's result.json must equal the dossier's own, byte for byte.
 *
 *   render_again DOSSIER
 */
#include "windassay/digest.h"
#include "windassay/dossier.h"
#include "windassay/json.h"
#include "windassay/run.h"

#include <stdio.h>
#include <string.h>

static int stop(const wa_error *err)
{
    fprintf(stderr, "render_again: %s: %s\n", err->file, err->text);
    return 1;
}

/* Whether a file of the dossier is as it was made again. */
static int compare(const wa_bag *bag, const wa_value *file)
{
    wa_text own = WA_TEXT_INIT;
    wa_error err;
    const char *path = wa_get_string(file, "path");
    const wa_value *made = wa_get(file, "bytes");
    if (wa_bag_read(&own, bag, path, &err) != WA_OK)
        return stop(&err);
    int differs =
        own.length != wa_length_of(made) || memcmp(own.at, wa_string_of(made), own.length) != 0;
    if (differs)
        fprintf(stderr, "render_again: %s differs\n", path);
    wa_text_release(&own);
    return differs;
}

int main(int argc, char **argv)
{
    wa_bag *bag = NULL;
    wa_value *record = NULL, *files = NULL;
    wa_text json = WA_TEXT_INIT;
    char digest[WA_SHA256_TEXT_SIZE];
    wa_error err;
    if (argc != 2)
        return 64;
    if (wa_bag_open(&bag, argv[1], &err) != WA_OK ||
        wa_bag_read(&json, bag, "result.json", &err) != WA_OK ||
        wa_json_read(&record, json.at, json.length, "result.json", &err) != WA_OK ||
        wa_sha256_of(digest, json.at, json.length, &err) != WA_OK ||
        wa_present(&files, record, digest, &err) != WA_OK)
        return stop(&err);
    int differ = 0;
    for (size_t i = 0; i < wa_count(files); i++)
        differ += compare(bag, wa_at(files, i));
    if (differ == 0)
        printf("%zu files rendered again, all equal\n", wa_count(files));
    wa_value_free(files);
    wa_value_free(record);
    wa_text_release(&json);
    wa_bag_close(bag);
    return differ > 0;
}
