#include "script/cell/open.h"

void cell_open_bindings(lua_State *L)
{
    (void)L;
}
