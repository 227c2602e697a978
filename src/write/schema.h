/* JSON Schema (draft 2020-12) of any object of the tables. */
#ifndef IOL_WRITE_SCHEMA_H
#define IOL_WRITE_SCHEMA_H

#include "sink.h"
#include "tables/tables.h"

/* input: what the reader takes (no other key, limits, null for not known). Else: what the program writes (every key is
 * there, more may come). Returns false when the sink refused. */
bool iol_schema_write(const iol_object *object, const char *title, bool input, iol_sink sink, void *context);

#endif
