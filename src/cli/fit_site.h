/* recheck --fit-site. */
#ifndef IOL_CLI_FIT_SITE_H
#define IOL_CLI_FIT_SITE_H

#include "recheck.h"

/* Two passes over the records; the site with what was fitted goes to the file out, what was found to report. */
int iol_fit_site(iol_recheck_run *run, int jobs, iol_site *site, const char *out, iol_output *report);

#endif
