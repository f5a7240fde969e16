/* lib/solve/lot_kernels.c: the kernels of lots for each width of vector. */
#include "solve/lot_kernels.h"

#include <stddef.h>

#ifdef SL__WIDE_KERNELS
#define LANES_NAME(x) x##_512
#define LANES_TARGET SL__AVX512
#define LANES_WIDE 8
#include "solve/lot_kernel.h"

#define LANES_NAME(x) x##_256
#define LANES_TARGET SL__AVX2
#define LANES_WIDE 4
#include "solve/lot_kernel.h"
#endif

#define LANES_NAME(x) x##_128
#define LANES_TARGET
#define LANES_WIDE 2
#include "solve/lot_kernel.h"

const sl__lot_kernels *sl__lot_kernels_of(int32_t kernel)
{
#ifdef SL__WIDE_KERNELS
    return kernel == 3 ? &lot_kernels_512 : kernel == 2 ? &lot_kernels_256 : &lot_kernels_128;
#else
    (void)kernel;
    return &lot_kernels_128;
#endif
}
