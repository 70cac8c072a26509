/* steps.h - neighbours in time: where rows follow each other, and where a gap lies between. */
#ifndef STATS_STEPS_H
#define STATS_STEPS_H

#include <stddef.h>

/* The smallest step between two neighbouring times: the interval of the grid, unless no two
 * intervals in succession are left. Infinite for fewer than two. */
double wa_smallest_step(const double *time, size_t n);

#endif
