/* lib/kinds/fuse_bands.c: which band a load lies in. */
#include "kinds/fuse_bands.h"

#include <math.h>

#define BAND(name, from, least_s, most_s, quantity, said, does) {from, least_s, most_s, does},
static const sl_fuse_band bands[SL__FUSE_BAND_COUNT] = {SL__FUSE_BANDS(BAND)};

int32_t sl__fuse_band_of(double load)
{
    int32_t band = -1;
    while (band + 1 < SL__FUSE_BAND_COUNT && load > bands[band + 1].over) {
        band++;
    }
    return band;
}

const sl_fuse_band *sl_fuse_band_of(double load)
{
    const int32_t band = sl__fuse_band_of(load);
    return band < 0 ? NULL : &bands[band];
}
