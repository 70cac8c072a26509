/* stability.h - runs the variants of checks that decide (windassay/stability.h). */
#ifndef WINDASSAY_RUN_STABILITY_H
#define WINDASSAY_RUN_STABILITY_H

#include "run/execute.h"

/** After every check ran and was decided: plans the variants that the campaign asks for, runs each
 *  in a sealed cell of its own, several at a time, and puts "stability" into the entries. A variant
 *  that breaks says so in its row; none changes an outcome. */
wa_status wa_stability_run(const wa_execution *e, wa_error *err);

#endif
