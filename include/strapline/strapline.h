/// strapline/strapline.h: the whole library in one include.
#ifndef STRAPLINE_STRAPLINE_H
#define STRAPLINE_STRAPLINE_H

#include "strapline/band.h"
#include "strapline/base.h"
#include "strapline/case.h"
#include "strapline/circuit.h"
#include "strapline/contrast.h"
#include "strapline/instrument.h"
#include "strapline/kind.h"
#include "strapline/limits.h"
#include "strapline/panel.h"
#include "strapline/path.h"
#include "strapline/size.h"
#include "strapline/sneak.h"
#include "strapline/sweep.h"

#endif
