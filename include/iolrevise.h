/* iolrevise: planning the revision of an implanted intraocular lens. The public face of the library. */
#ifndef IOLREVISE_H
#define IOLREVISE_H

#define IOLREVISE_VERSION "0.1.0"

#include "iolrevise/case.h"
#include "iolrevise/displaced.h"
#include "iolrevise/formulas.h"
#include "iolrevise/host.h"
#include "iolrevise/optics.h"
#include "iolrevise/plan.h"

#endif
