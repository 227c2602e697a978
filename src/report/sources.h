/* Every built-in number with unit, citation and status, by section. */
#ifndef IOL_REPORT_SOURCES_H
#define IOL_REPORT_SOURCES_H

#include "write/sink.h"
#include "page.h"

enum { IOL_SOURCES_TEXT, IOL_SOURCES_JSON, IOL_SOURCES_MARKDOWN };
/* section: a name that iol_sources_section gives, or NULL for all. page is used for the text. False: no such section, or the
 * sink refused (*known tells which). */
bool iol_sources_write(const char *section, int format, iol_page *page, iol_sink sink, void *context, bool *known);
/* Names of the sections in order; NULL behind the last. */
const char *iol_sources_section(int i);

#endif
