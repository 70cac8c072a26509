#include "cli/kept.h"

#include "cli/talk.h"

#include "windassay/report.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

void wa_kept_machine(wa_run_options *o)
{
    static char host[256], now[32];
    time_t clock = time(NULL);
    struct tm utc;
    gethostname(host, sizeof host - 1);
    gmtime_r(&clock, &utc);
    strftime(now, sizeof now, "%Y-%m-%dT%H:%M:%SZ", &utc);
    o->compiler = WA_COMPILER;
    o->host = host;
    o->now = now;
}

int wa_kept_show(const wa_run *run, bool json)
{
    if (json)
        return wa_talk_result(run->json.at, run->json.length, run->exit_code);
    int code = wa_talk_report(wa_report_terminal, run->record, run->exit_code);
    if (code != run->exit_code)
        return code; /* it could not be printed, and has been said */
    printf("\ndossier: %s%s\n", run->dossier,
           run->was_there ? " (was there already, with the same evidence)" : "");
    return wa_talk_result("", 0, code);
}
