/* main.c - the program: finds the command and runs it. */
#include "windassay/error.h"

#include <stdio.h>

int main(int argc, char **argv)
{
    (void)argv;
    fputs("windassay: no command given\n", stderr);
    return argc > 0 ? wa_status_exit(WA_ERR_ARG) : 0;
}
