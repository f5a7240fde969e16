/* lib/kinds/fuse_bands.h: how long a fuse holds more than it is rated for, band by band. */
#ifndef SL_KINDS_FUSE_BANDS_H
#define SL_KINDS_FUSE_BANDS_H

#include "kinds/kind.h"

/* The points of ISO 8820-3, from memory: 110 % is held for 100 h, 135 % opens in 0.75 to 600 s, 160
   % in 0.25 to 50 s, 200 % in 0.15 to 5 s, 350 % in 0.04 to 0.5 s, 600 % in 0.02 to 0.1 s. Between
   two of them a fuse opens within the longest time of the lower and the shortest of the upper one.
   X(name, above this part of the rating, shortest s, longest s, quantity and start of what is
   said of a fuse in the circuit, what it does): nobody needs to know by how many times too much the
   worst is. */
#define SL__OF_RATING "carries @ of its rating: "
#define SL__FUSE_BANDS(X)                                                                          \
    X("overloaded", 1.1, 0.75, INFINITY, SL_FRACTION, SL__OF_RATING,                               \
      "holds for hours or opens after 0.75 s")                                                     \
    X("over 135 %", 1.35, 0.25, 600.0, SL_FRACTION, SL__OF_RATING, "opens in 0.25 to 600 s")       \
    X("over 160 %", 1.6, 0.15, 50.0, SL_FRACTION, SL__OF_RATING, "opens in 0.15 to 50 s")          \
    X("over 200 %", 2.0, 0.04, 5.0, SL_FRACTION, SL__OF_RATING, "opens in 0.04 to 5 s")            \
    X("over 350 %", 3.5, 0.02, 0.5, SL_FRACTION, SL__OF_RATING, "opens in 0.02 to 0.5 s")          \
    X("over 600 %", 6.0, 0.0, 0.1, SL_NUMBER, "", "opens at once")

#define SL__FUSE_BAND_COUNT 6

/* The band a part of the rating lies in, from 0 on; -1: it is held for ever. */
int32_t sl__fuse_band_of(double load);

#endif
