/* commands.h - the commands of the program, one file each. */
#ifndef WINDASSAY_CLI_COMMANDS_H
#define WINDASSAY_CLI_COMMANDS_H

#include "cli/options.h"

extern const wa_command wa_command_run;
extern const wa_command wa_command_look;
extern const wa_command wa_command_progress;
extern const wa_command wa_command_agree;
extern const wa_command wa_command_why;
extern const wa_command wa_command_audit;
extern const wa_command wa_command_decide;
extern const wa_command wa_command_compare;
extern const wa_command wa_command_deliver;
extern const wa_command wa_command_script;
extern const wa_command wa_command_checks;
extern const wa_command wa_command_criteria;

#endif
