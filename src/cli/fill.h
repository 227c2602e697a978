/* iolrevise ask --fill. */
#ifndef IOL_CLI_FILL_H
#define IOL_CLI_FILL_H

#include "planning.h"

/* Asks on the terminal and writes the case to --output after each answer: what was answered is never lost. */
int iol_cli_fill(const iol_options *options, iol_planning *planning, iol_ask_room *room);

#endif
