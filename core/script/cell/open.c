#include "script/cell/open.h"

#include "script/cell/jobs.h"

void cell_open_bindings(lua_State *L)
{
    cell_open_column(L);
    cell_open_angle(L);
    cell_open_circular(L);
    cell_open_trace(L);
    cell_open_fit(L);
    cell_open_scan(L);
    cell_open_bin(L);
    cell_open_compare(L);
    cell_open_correlate(L);
    cell_open_reconstruct(L);
    cell_open_resample(L);
    cell_open_distributions(L);
    cell_open_quantity(L);
    cell_open_budget(L);
    cell_open_uncertainty(L);
    cell_open_conformity(L);
    cell_open_report(L);
    cell_open_channel(L);
    cell_open_account(L);
    cell_open_campaign(L);
}
