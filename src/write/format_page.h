/* docs/case-format.md: the case and the site file in tables, from the tables. */
#ifndef IOL_WRITE_FORMAT_PAGE_H
#define IOL_WRITE_FORMAT_PAGE_H

#include "sink.h"

bool iol_format_page_write(iol_sink sink, void *context);

#endif
