/* A case as a file holds it. */
#ifndef IOL_WRITE_CASE_JSON_H
#define IOL_WRITE_CASE_JSON_H

#include "iolrevise/case.h"
#include "sink.h"

/* What is known of it, every digit kept; remarks are not part of a case. False when the sink refused. */
bool iol_case_write(const iol_case *c, iol_sink sink, void *context);

#endif
