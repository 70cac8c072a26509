#include "script/cell/open.h"

void cell_open_bindings(lua_State *L)
{
    cell_open_column(L);
    cell_open_angle(L);
    cell_open_circular(L);
    cell_open_trace(L);
}
